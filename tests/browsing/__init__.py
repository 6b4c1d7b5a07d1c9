"""Pages seen as people see them: in a browser, narrow and wide, light and dark, and on paper."""
