" Indents a block's rows, and what goes on after a comma. Nothing in the language depends on it.
if exists("b:did_indent")
  finish
endif
let b:did_indent = 1

setlocal indentexpr=FantailIndent(v:lnum) indentkeys=o,O,0}
let b:undo_indent = "setlocal indentexpr< indentkeys<"

if exists("*FantailIndent")
  finish
endif

" A line without its comment, and without what its texts say.
function! s:bare(lnum) abort
  return substitute(substitute(getline(a:lnum), '"[^"]*"\?', 'x', 'g'), '\s*\(#.*\)\?$', '', '')
endfunction

" The line before that says something: no blank one, no comment.
function! s:before(lnum) abort
  let at = prevnonblank(a:lnum - 1)
  while at > 0 && getline(at) =~ '^\s*#'
    let at = prevnonblank(at - 1)
  endwhile
  return at
endfunction

" The line that opens the block which this line closes; 0 where none does.
function! s:opener(lnum) abort
  let [at, depth] = [a:lnum - 1, 0]
  while at > 0
    let line = getline(at) =~ '^\s*#' ? '' : s:bare(at)
    let depth += count(line, '}') - count(line, '{')
    if depth < 0
      return at
    endif
    let at -= 1
  endwhile
  return 0
endfunction

function! FantailIndent(lnum) abort
  let before = s:before(a:lnum)
  " A comment stands where its writer put it: column heads do.
  if before == 0 || getline(a:lnum) =~ '^\s*#'
    return -1
  endif
  " Numbers stand on the right of their column.
  if getline(a:lnum) =~ '^\s\+\d'
    return -1
  endif
  if getline(a:lnum) =~ '^\s*}'
    let opener = s:opener(a:lnum)
    return opener == 0 ? -1 : indent(opener)
  endif
  let goes_on = s:bare(before) =~ ',$'
  let opens = s:bare(before) =~ '{[^}]*$'
  " The first line of the row before.
  while s:before(before) > 0 && s:bare(s:before(before)) =~ ',$'
    let before = s:before(before)
  endwhile
  return indent(before) + (opens || goes_on) * shiftwidth()
endfunction
