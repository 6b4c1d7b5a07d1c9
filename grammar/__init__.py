"""The surface of both languages as lark grammars. This file only makes the folder a package that can be shipped."""
