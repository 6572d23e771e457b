// What a row's end cannot be told by: which block a line stands in. Keeps the open blocks, tells a comma
// that a list goes on after from one that ends its row, and closes a block whose brace is missing before
// the next statement. It reads ahead a few words and never moves a token's end there.

#include "tree_sitter/alloc.h"
#include "tree_sitter/parser.h"
#include "statement_words.h"
#include <string.h>
#include <wctype.h>

enum Token { OPEN_ACT, OPEN_NUMBERED, OPEN_OUTPUTS, OPEN_OTHER, CLOSE, UNCLOSED, LIST_COMMA, UNFINISHED, NEVER };

// Acts nest; braces deeper than this are counted and not told apart.
#define DEPTH 32
#define LONGEST_WORD 32

typedef struct {
  unsigned depth;
  // Each an OPEN_… token.
  unsigned char open[DEPTH];
} Blocks;

// What stands next, as far as the start of a row is told by it.
enum Kind { WORD, NUMBER, OTHER };

static unsigned char innermost(const Blocks *blocks) {
  if (blocks->depth == 0) return OPEN_ACT;
  return blocks->depth > DEPTH ? OPEN_OTHER : blocks->open[blocks->depth - 1];
}

static void push(Blocks *blocks, unsigned char kind) {
  if (blocks->depth < DEPTH) blocks->open[blocks->depth] = kind;
  blocks->depth++;
}

static void pop(Blocks *blocks) {
  if (blocks->depth > 0) blocks->depth--;
}

static bool is_blank(int32_t c) { return c != '\n' && (iswspace((wint_t)c) || c == 0xa0); }

static void skip_blanks(TSLexer *lexer) {
  while (is_blank(lexer->lookahead)) lexer->advance(lexer, false);
}

// Over blanks, comments and line ends; whether a line ended.
static bool skip_to_next_word(TSLexer *lexer) {
  bool new_line = false;
  while (!lexer->eof(lexer)) {
    if (lexer->lookahead == '\n') {
      new_line = true;
      lexer->advance(lexer, false);
    } else if (is_blank(lexer->lookahead)) {
      lexer->advance(lexer, false);
    } else if (lexer->lookahead == '#') {
      while (!lexer->eof(lexer) && lexer->lookahead != '\n') lexer->advance(lexer, false);
    } else {
      break;
    }
  }
  return new_line;
}

static bool is_dash(int32_t c) { return c == '-' || c == 0x2013; }
static bool is_digit(int32_t c) { return c >= '0' && c <= '9'; }
static bool in_a_word(int32_t c) { return is_digit(c) || c == '_' || iswalpha((wint_t)c) || (c >= 0x300 && c < 0x370); }

// Reads a word or a number; `word` is empty for what is longer than any word of the language.
static enum Kind read(TSLexer *lexer, char word[LONGEST_WORD]) {
  bool letters = false;
  unsigned dashes = 0, length = 0;
  word[0] = 0;
  while (in_a_word(lexer->lookahead) || (length > 0 && is_dash(lexer->lookahead))) {
    int32_t c = lexer->lookahead;
    dashes += is_dash(c);
    letters |= !is_digit(c) && !is_dash(c) && c != '_';
    if (length < LONGEST_WORD - 1) {
      word[length] = c < 128 ? (char)c : '?';
      word[length + 1] = 0;
    } else {
      word[0] = 0;
    }
    length++;
    lexer->advance(lexer, false);
  }
  if (length == 0 || lexer->lookahead == ':') return OTHER;
  if (letters) return WORD;
  return dashes < 2 ? NUMBER : OTHER;
}

static bool is_statement_word(const char *word) {
  for (unsigned i = 0; i < sizeof STATEMENT_WORDS / sizeof *STATEMENT_WORDS; i++) {
    if (strcmp(word, STATEMENT_WORDS[i]) == 0) return true;
  }
  return false;
}

// `mix 1, 3-4 to`, after its word.
static bool read_to(TSLexer *lexer) {
  char word[LONGEST_WORD];
  do {
    if (lexer->lookahead == ',') lexer->advance(lexer, false);
    skip_blanks(lexer);
    if (read(lexer, word) != NUMBER) return false;
    skip_blanks(lexer);
  } while (lexer->lookahead == ',');
  return read(lexer, word) == WORD && strcmp(word, "to") == 0;
}

// What begins with the word that stands next, in a block of this kind.
enum Start { ROW, STATEMENT, NEITHER };

static enum Start start_of(TSLexer *lexer, unsigned char block) {
  char word[LONGEST_WORD];
  enum Kind first = read(lexer, word);
  bool statement = first == WORD && is_statement_word(word);
  skip_blanks(lexer);
  if (block == OPEN_NUMBERED && first == NUMBER) return read(lexer, word) == WORD ? ROW : NEITHER;
  if (block == OPEN_OUTPUTS && first == WORD && read_to(lexer)) return ROW;
  return statement ? STATEMENT : NEITHER;
}

static bool is_list_block(unsigned char block) { return block == OPEN_NUMBERED || block == OPEN_OUTPUTS; }

// A list goes on after its comma, unless its row ends there or the next line begins a row or a statement.
static bool goes_on(TSLexer *lexer, unsigned char block) {
  bool new_line = skip_to_next_word(lexer);
  if (lexer->eof(lexer) || lexer->lookahead == '}' || lexer->lookahead == ';') return false;
  if (!new_line || block == OPEN_OTHER) return true;
  enum Start start = start_of(lexer, block);
  return is_list_block(block) ? start != ROW : start != STATEMENT;
}

// Whether the block ends at this line end: the file ends, or a statement follows a list.
static bool is_left(TSLexer *lexer, unsigned char block) {
  if (lexer->eof(lexer)) return true;
  if (lexer->lookahead != '\n' || !is_list_block(block)) return false;
  // One line ahead is enough: empty lines before the statement may stay in the block.
  lexer->advance(lexer, false);
  skip_blanks(lexer);
  return start_of(lexer, block) == STATEMENT;
}

void *tree_sitter_fantail_external_scanner_create(void) { return ts_calloc(1, sizeof(Blocks)); }
void tree_sitter_fantail_external_scanner_destroy(void *payload) { ts_free(payload); }

unsigned tree_sitter_fantail_external_scanner_serialize(void *payload, char *buffer) {
  const Blocks *blocks = payload;
  memcpy(buffer, blocks, sizeof *blocks);
  return sizeof *blocks;
}

void tree_sitter_fantail_external_scanner_deserialize(void *payload, const char *buffer, unsigned length) {
  Blocks *blocks = payload;
  blocks->depth = 0;
  if (length == sizeof *blocks) memcpy(blocks, buffer, length);
}

bool tree_sitter_fantail_external_scanner_scan(void *payload, TSLexer *lexer, const bool *valid) {
  Blocks *blocks = payload;
  bool lost = valid[NEVER];
  while (is_blank(lexer->lookahead)) lexer->advance(lexer, true);
  switch (lexer->lookahead) {
    case '{':
      lexer->result_symbol = OPEN_OTHER;
      for (unsigned kind = OPEN_ACT; !lost && kind <= OPEN_OTHER; kind++) {
        if (valid[kind]) lexer->result_symbol = kind;
      }
      if (!valid[lexer->result_symbol]) return false;
      lexer->advance(lexer, false);
      lexer->mark_end(lexer);
      push(blocks, (unsigned char)lexer->result_symbol);
      return true;
    case '}':
      if (!valid[CLOSE] || blocks->depth == 0) return false;
      lexer->advance(lexer, false);
      lexer->mark_end(lexer);
      pop(blocks);
      lexer->result_symbol = CLOSE;
      return true;
    case ',':
      lexer->advance(lexer, false);
      lexer->mark_end(lexer);
      lexer->result_symbol = goes_on(lexer, innermost(blocks)) ? LIST_COMMA : UNFINISHED;
      return valid[lexer->result_symbol];
    default:
      if (!valid[UNCLOSED] || lost || blocks->depth == 0) return false;
      lexer->mark_end(lexer);
      if (!is_left(lexer, innermost(blocks))) return false;
      pop(blocks);
      lexer->result_symbol = UNCLOSED;
      return true;
  }
}
