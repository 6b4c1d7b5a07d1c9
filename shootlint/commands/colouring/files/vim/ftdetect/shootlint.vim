" Made by python -m shootlint.commands.colouring.prepare from the grammars and the model: change those, not this file.
autocmd BufRead,BufNewFile *.shoot
      \ if match(getline(1, 50), '\v^\s*%(accept|camera|date|filter|gel|kit|lens|light|meter|people|print|setup|shootplan|site|stand|step|title|weather|window)>') >= 0 |
      \   set filetype=shootplan |
      \ endif
autocmd BufRead,BufNewFile *.rules
      \ if match(getline(1, 50), '\v^\s*%(adjust|bound|caution|forbid|level|prefer|retire|rule|rulebook|uncertain|use)>') >= 0 |
      \   set filetype=shootrules |
      \ endif
