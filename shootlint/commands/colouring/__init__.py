"""Syntax colouring for editors: grammars made from the languages themselves, and the files that were made of them."""
