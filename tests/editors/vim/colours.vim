" Reads a file with the real editor and writes, as JSON, what each byte of each line is coloured as.
" Wants g:folder (of the vim files), g:file and g:out.

set nocompatible encoding=utf-8
execute 'set runtimepath^=' . fnameescape(g:folder)
filetype plugin indent on
syntax on
execute 'edit' fnameescape(g:file)

let s:Colour = {line, column -> synIDattr(synIDtrans(synID(line, column, 1)), 'name')}
let s:lines = []
for s:line in range(1, line('$'))
  call add(s:lines, map(range(1, len(getline(s:line))), {_, column -> s:Colour(s:line, column)}))
endfor

" How the lines are indented anew.
normal! gg=G
let s:told = #{lines: s:lines, filetype: &filetype, comment: &commentstring, indented: getline(1, '$')}
call writefile([json_encode(s:told)], g:out)
qall!
