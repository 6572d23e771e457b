" Colours of fantail. No word is reserved, so a word counts only where its group may stand: a statement's
" word first in its statement, an attribute's in the rows that take it, a name after the word that takes one.
if exists("b:current_syntax")
  finish
endif
let s:cpo = &cpo
set cpo&vim

syn case match
syn iskeyword @,48-57,_,-,192-255
syn sync minlines=200

" words: begin
" Written from compiler/src/syntax/words.rs.
let s:statement_words = 'fantail|show|include|rate|clock|carrier|kind|feed|mic|model|desk|console|box|hub|snake|split|recorder|outside|link|loom|spare|inputs|outputs|personal|record|keep|group|set|act|expect|allow|change|without'
let s:device_words = 'desk|console|box|hub|snake|split|recorder|outside'
let s:device_attributes = 'is|on|redundant|offset|slot|cable|dead|reserved|gain|lifted|space|place|at|to|who|note|clock|rate|converts|backup|supply'
let s:cable_attributes = 'cable|dead|reserved|place|at|who|note'
let s:input_attributes = 'from|via|phantom|48V|gain|pad|stand|level|pickup|lifted|stereo|spare|polarity|ears-only|data|at|place|who|priority|note'
let s:output_attributes = 'to|of|stereo|at|place|who|priority|note'
let s:output_uses = 'pa|sub|fill|delay|wedge|side-fill|in-ears|broadcast|press|relay|hearing-loop|record|effects|comms'
let s:personal_attributes = 'stereo|at|place|who|priority|note'
let s:change_attributes = 'is|channel|of|no'
let s:change_targets = 'input|output|personal|link|loom|group|act|record|rate|clock'
let s:model_words = 'port|block|reserved|pairs|latency|phantom|draws|strip|converts|label'
let s:model_verbs = 'passes|rides|takes|copies|from'
let s:bank_words = 'in|out|inner|origin|end|gain|phantom|pad|clip|isolated'
let s:carrier_words = 'slots|length|screened|locking|latency'
let s:kind_words = 'signal|phantom|suits|data|talkback|mains'
let s:mic_words = 'kind|sensitivity|needs|max|note'
let s:places = 'USR|USC|USL|SR|C|SC|SL|DSR|DSC|DSL'
let s:stands = 'tall|short|clip|straight|none'
let s:pickups = 'passive|piezo|active|line'
let s:priorities = 'must|should|may'
let s:phantom_policies = 'needs|tolerates|never'
let s:feed_verdicts = 'fine|warn|error'
let s:faces = 'desk|next|any'
let s:cable_facts = 'screened|locking'
let s:own_clocks = 'internal|external'
let s:joints = 'a|all|and|any|as|at|because|blocks|but|by|each|first|for|from|groups|in|inputs|inverted|least|like|limit|mode|most|needs|none|not|of|on|one|only|out|power|powers|reaches|same|setting|stacked|straight|to|under|way'
let s:units = 'dB\s+SPL|mV\s*/\s*Pa|dBFS|dBu|dBV|dB|kHz|Hz|min|mA|ms|us|ft|m|s|A|W|V|h|GB|TB'
" words: end

" What the patterns below are made of. All are very magic.
let s:number = '\d+%([-–]\d+)?>'
let s:numbers = s:number . '%(\s*,\s*' . s:number . ')*'
let s:name = '%(' . s:number . ')@!\k+'
let s:dotted = '\k+%(\.\k+)*'
let s:point = s:dotted . '%(\s+' . s:number . '%(\s+V>)@!)?'
let s:points = s:point . '%(\s*,\s*%(' . s:point . '|' . s:number . '))*'
let s:begins = '%(^|[;{}])@<=\s*'
let s:row = '%(^|[;{])\s*'
" A comma at the end of a line goes on below.
let s:ends = ' end=/\v%(,\s*%(#.*)?)@<!$/ end=/[;}]/me=s-1 '

function! s:match(group, pattern, ...) abort
  execute 'syn match' a:group '"\v' . a:pattern . '"' 'contained' join(a:000)
endfunction

" A statement without a block, by the words that begin it, with what stands in it.
function! s:statement(group, words, contains) abort
  execute 'syn region' a:group 'matchgroup=fantailStatement start=/\v' . s:begins . '%(' . a:words . ')>/'
        \ s:ends 'contains=@fantailPlain,fantailComma,' . a:contains
endfunction

" A statement with a block of rows: its head, the block, a row.
function! s:block(group, words, head, rows) abort
  execute 'syn region' a:group 'matchgroup=fantailStatement start=/\v' . s:begins . '%(' . a:words . ')>/'
        \ 'end=/\v$|\}@<=/ end=/[;}]/me=s-1 contains=@fantailPlain,' . a:group . 'Block,' . a:head
  execute 'syn region' a:group . 'Block' 'contained matchgroup=fantailBrace start=/{/ end=/}/'
        \ 'contains=fantailComment,' . a:rows
endfunction

function! s:rows(group, contains) abort
  execute 'syn region' a:group 'contained transparent start=/\v[^[:blank:];{}#]/' s:ends
        \ 'contains=@fantailPlain,fantailComma,' . a:contains
endfunction

syn match fantailComment /#.*/ contains=@Spell
syn region fantailText start=/"/ end=/"/ end=/$/ oneline contained contains=@Spell
syn region fantailText start=/[“„]/ end=/[“”]/ end=/$/ oneline contained contains=@Spell
" The kind of signal of a bank is what is nothing else in its row.
call s:match('fantailSignal', '%(' . s:row . s:name . '\s+' . s:number . '.*)@<=<' . s:name)
call s:match('fantailNumber', '<' . s:number)
call s:match('fantailNumber', '<\d{4}-\d\d-\d\d>')
call s:match('fantailNumber', '<\d?\d:\d\d>')
call s:match('fantailNumber', '\k@<![-–]?\d+%(\.\d+)?\s*%(' . s:units . ')>')
syn cluster fantailPlain contains=fantailComment,fantailText,fantailNumber

" A bank of gear from outside, with its size.
call s:match('fantailSize', '\k+%(\s+' . s:number . ')@=')
" The words of each kind of row. What they take is matched before them, so it stands below.
call s:match('fantailUse', '<%(' . s:output_uses . ')>')
call s:match('fantailInput', '<%(' . s:input_attributes . '|48\s+V)>')
call s:match('fantailOutput', '<%(' . s:output_attributes . ')>')
call s:match('fantailPersonalWord', '<%(' . s:personal_attributes . ')>')
call s:match('fantailDevice', '<%(' . s:device_attributes . ')>')
call s:match('fantailJoint', '<%(' . s:joints . ')>')

" Names after a word that takes them, and after the comma that ends a line.
call s:match('fantailPoints', s:points, 'contains=fantailNumber skipwhite nextgroup=fantailComma,fantailAny,fantailOn')
call s:match('fantailComma', ',%(\s*%(#.*)?$)@=', 'skipwhite skipempty nextgroup=fantailGoesOn,fantailAfterComma')
call s:match('fantailAfterComma', '#.*', 'skipwhite skipempty nextgroup=fantailGoesOn')
" … unless that line begins a row of its own.
call s:match('fantailGoesOn', '%(' . s:number . '\s+\k|\k+\s+' . s:numbers . '\s+to>)@!' . s:points,
      \ 'contains=fantailNumber')
call s:match('fantailAny', '<any>%(\s*[.0-9])@!')
call s:match('fantailAll', '<all\s+inputs>', 'skipwhite nextgroup=fantailOn')
call s:match('fantailModel', s:name)
call s:match('fantailTaken', '\k+')
call s:match('fantailOn', '<%(and|but|by|of|for|as|reaches|under)>', 'skipwhite nextgroup=fantailAll,fantailPoints')
call s:match('fantailOut', '<out\s+of>', 'skipwhite nextgroup=fantailPoints')
call s:match('fantailTakes', '<%(from|via|to|on|of)>', 'skipwhite nextgroup=fantailAll,fantailAny,fantailPoints')
call s:match('fantailTakes', '<%(spare\s+for|redundant\s+on|gain\s+by|backup\s+of|lifted%(\s+\k+)@=)>',
      \ 'skipwhite nextgroup=fantailPoints')
call s:match('fantailIs', '<is>', 'skipwhite nextgroup=fantailModel')
call s:match('fantailNo', '<no>', 'skipwhite nextgroup=fantailTaken')
call s:match('fantailPlace', '%(<%(at|place)\s+)@<=%(' . s:places . ')>')
call s:match('fantailValue', '%(<%(stand|pickup|priority|polarity|clock)\s+)@<=%('
      \ . join([s:stands, s:pickups, s:priorities, s:own_clocks, 'inverted'], '|') . ')>')
call s:match('fantailValue', '<%(' . s:cable_facts . ')>')
call s:match('fantailVerdict', '<%(' . s:feed_verdicts . ')>')
syn cluster fantailTaking contains=fantailTakes,fantailOn,fantailNo,fantailPlace,fantailValue,fantailOut

" The first names of rows and statements, by what stands before them.
let s:head = '%(' . s:row . '%(' . s:numbers . '\s*)?)@<='
call s:match('fantailSource', s:head . s:name, 'skipwhite nextgroup=fantailMic')
let s:attributes = join([s:input_attributes, s:output_attributes, s:device_attributes, s:change_attributes], '|')
call s:match('fantailMic', '%(%(' . s:attributes . ')>)@!' . s:name)
call s:match('fantailBank', '%(' . s:row . ')@<=' . s:name)
call s:match('fantailFeed', '%(' . s:row . s:numbers . '\s+)@<=' . s:points, 'contains=fantailNumber')
call s:match('fantailDeclared', '%(' . s:row . '%(' . s:device_words . '|act|group)\s+)@<=\k+')
call s:match('fantailKind', '%(' . s:row . '%(model|mic|kind|carrier)\s+)@<=\k+')
call s:match('fantailFirst', '%(' . s:row . '%(inputs|outputs|personal|link|loom|keep|set|record|clock|allow|expect)\s+)@<='
      \ . '%(spare\s+inputs|latency\s+from)@!' . s:points,
      \ 'contains=fantailNumber')
call s:match('fantailMembers', '%(' . s:row . 'group\s+\k+\s+)@<=' . s:points, 'contains=fantailNumber')
call s:match('fantailRecord', '%(' . s:row . 'record\s+)@<=all\s+inputs>', 'skipwhite nextgroup=fantailOn')
call s:match('fantailChanged', '%(' . s:row . '%(change|without)\s+)@<=%(' . s:change_targets . '|' . s:device_words . ')>',
      \ 'skipwhite nextgroup=fantailChangedName,fantailNumber')
call s:match('fantailChangedName', s:point, 'contains=fantailNumber skipwhite nextgroup=fantailMic')

call s:match('fantailJoint', '%(' . s:row . 'expect\s+)@<=%(spare%(\s+inputs)@=|latency%(\s+from)@=)>')

" Statements. The later wins where two could begin.
call s:statement('fantailHead', 'fantail|show|include|rate', 'fantailJoint')
call s:statement('fantailPlainRow', 'clock|keep|set|allow|expect', 'fantailJoint,fantailOut,fantailOn,fantailTakes,fantailFirst')
call s:statement('fantailRecordRow', 'record|group', 'fantailTakes,fantailFirst,fantailRecord,fantailDeclared,fantailMembers,fantailJoint')
call s:statement('fantailFeedRow', 'feed', 'fantailJoint,fantailVerdict')
call s:statement('fantailGear', s:device_words . '|link|loom|spare',
      \ 'fantailDevice,@fantailTaking,fantailIs,fantailSize,fantailDeclared,fantailFirst')
call s:statement('fantailChange', 'change|without',
      \ 'fantailDevice,fantailInput,fantailUse,@fantailTaking,fantailIs,fantailChanged')

call s:block('fantailInputs', 'inputs', 'fantailFirst,fantailJoint', 'fantailInputRow')
call s:rows('fantailInputRow', 'fantailInput,@fantailTaking,fantailSource')
call s:block('fantailOutputs', 'outputs', 'fantailFirst', 'fantailOutputRow')
call s:rows('fantailOutputRow', 'fantailOutput,fantailUse,@fantailTaking,fantailBank')
call s:block('fantailPersonal', 'personal', 'fantailFirst', 'fantailPersonalRow')
call s:rows('fantailPersonalRow', 'fantailPersonalWord,fantailPlace,fantailFeed')

" Kinds of gear: a row's first or second word says what it is.
call s:match('fantailFact', '%(' . s:row . ')@<=%(' . s:carrier_words . '|' . s:kind_words . '|' . s:mic_words . ')>',
      \ 'skipwhite nextgroup=fantailPolicy')
call s:match('fantailFact', '%(' . s:row . ')@<=%(signal|kind)>', 'skipwhite nextgroup=fantailModel')
call s:match('fantailPolicy', '<%(' . s:phantom_policies . '|' . s:pickups . ')>')
call s:block('fantailFacts', 'carrier|kind|mic', 'fantailKind', 'fantailFactRow')
call s:rows('fantailFactRow', 'fantailPolicy,fantailJoint,fantailFact')
call s:match('fantailOwn', '%(' . s:row . ')@<=' . s:name)
call s:match('fantailModelWord', '%(' . s:row . ')@<=%(' . s:model_words . ')>%(\s+' . s:number . '\s+\k)@!')
call s:match('fantailModelWord', '%(' . s:row . ')@<=port>%(\s+' . s:number . ')@!', 'skipwhite nextgroup=fantailPort')
call s:match('fantailModelWord', '%(' . s:row . ')@<=block>%(\s+' . s:number . ')@!', 'skipwhite nextgroup=fantailNamed')
call s:match('fantailModelWord', '%(' . s:row . ')@<=%(pairs|reserved)>%(\s+' . s:number . ')@!',
      \ 'skipwhite nextgroup=fantailPoints')
call s:match('fantailPort', s:name, 'skipwhite nextgroup=fantailModel')
call s:match('fantailNamed', s:name, 'skipwhite nextgroup=fantailPoints')
call s:match('fantailVerb', '<%(' . s:model_verbs . ')>', 'skipwhite nextgroup=fantailPoints')
call s:match('fantailSupply', '%(<phantom\s+)@<=%(each|none)>')
call s:match('fantailBankFact', '%(' . s:row . s:name . '\s+' . s:number . '.*)@<=<%(' . s:bank_words . ')>')
call s:match('fantailFaces', '%(<to\s+)@<=%(' . s:faces . ')>')
call s:block('fantailModels', 'model', 'fantailKind,fantailLike', 'fantailModelRow')
call s:match('fantailLike', '<like>', 'skipwhite nextgroup=fantailModel')
call s:rows('fantailModelRow', 'fantailJoint,fantailSignal,fantailSupply,fantailFaces,fantailBankFact,fantailVerb,fantailOwn,fantailModelWord')

syn region fantailActBlock contained matchgroup=fantailBrace start=/{/ end=/}/ contains=TOP
execute 'syn region fantailAct matchgroup=fantailStatement start=/\v' . s:begins . 'act>/'
      \ 'end=/\v$|\}@<=/ end=/[;}]/me=s-1 contains=@fantailPlain,fantailActBlock,fantailDeclared,fantailJoint'

hi def link fantailStatement Statement
hi def link fantailChanged Statement
hi def link fantailComment Comment
hi def link fantailAfterComma Comment
hi def link fantailText String
hi def link fantailNumber Number
for s:group in ['Input', 'Output', 'PersonalWord', 'Device', 'Takes', 'Is', 'No', 'Taken', 'Fact', 'ModelWord', 'Verb', 'BankFact']
  execute 'hi def link fantail' . s:group 'Keyword'
endfor
for s:group in ['On', 'Out', 'All', 'Record', 'Joint', 'Like']
  execute 'hi def link fantail' . s:group 'Operator'
endfor
for s:group in ['Any', 'Place', 'Value', 'Use', 'Policy', 'Verdict', 'Faces', 'Supply']
  execute 'hi def link fantail' . s:group 'Constant'
endfor
for s:group in ['Source', 'Declared', 'Port', 'Named']
  execute 'hi def link fantail' . s:group 'Function'
endfor
for s:group in ['Mic', 'Kind', 'Model', 'Signal']
  execute 'hi def link fantail' . s:group 'Type'
endfor
for s:group in ['Points', 'GoesOn', 'Bank', 'Feed', 'First', 'Members', 'ChangedName', 'Own', 'Size']
  execute 'hi def link fantail' . s:group 'Identifier'
endfor
hi def link fantailBrace Delimiter

let b:current_syntax = "fantail"
let &cpo = s:cpo
unlet s:cpo
