// The tree-sitter grammar of fantail, for editors. It reads what the compiler reads, row by row, and judges
// nothing. The words come from ../words.json, which is written from compiler/src/syntax/words.rs.
// After a change: see grammar/README.md, "Highlighting".

const words = require("../words.json");

const BLANK = /[ \t\r\p{Zs}\u200e\u200f\u2028\u2029]+/;
const NUMBER = "[0-9]+([.][0-9]+)?";

/** A unit as it may be written: `dB SPL`, `mV / Pa`. */
const spelled = (unit) => unit.replace(" ", "[ \\t]+").replace("/", "[ \\t]*/[ \\t]*");
const QUANTITY = `[-\u2013]?${NUMBER}[ \\t]*(${words.units.map(spelled).join("|")})`;

const one = (list) => (list.length === 1 ? list[0] : choice(...list));

// Each word of the language stands in a field, so that queries need no list of words: `word` begins a
// statement, `attribute` an attribute or a fact, `joint` joins parts, `value` is one of a few.
const word = (of) => field("word", of);
const value = (list) => field("value", one(list));
const attribute = (of) => field("attribute", of);

/** Parts in order; the words among them are joints. */
const phrase = (...parts) => seq(...parts.map((part) => (typeof part === "string" ? field("joint", part) : part)));
/** The same after a word that begins a statement, or an attribute. */
const says = (first, ...parts) => seq(word(first), phrase(...parts));
const fact = (first, ...parts) => (parts.length ? seq(attribute(first), phrase(...parts)) : attribute(first));

const named = ($) => field("name", $.name);
/** A name of something that is declared elsewhere. */
const ref = ($) => field("ref", $.name);

/** What an attribute's word takes, by word; `null` for nothing. */
const VALUES = {
  is: ($) => field("model", $.name),
  on: ($) => $.dotted,
  redundant: ($) => phrase("on", $.dotted),
  offset: ($) => $.number,
  slot: ($) => $.number,
  cable: ($) => $._cable,
  dead: ($) => $.numbers,
  reserved: ($) => prec.right(seq($.numbers, optional($.text))),
  gain: ($) => $.quantity,
  space: ($) => $.quantity,
  place: ($) => $._place,
  at: ($) => $._place,
  to: ($) => $._targets,
  who: ($) => $.text,
  note: ($) => $.text,
  clock: ($) => choice(value(["internal"]), seq(value(["external"]), $.text)),
  rate: ($) => $.quantity,
  converts: null,
  backup: ($) => phrase("of", ref($)),
  supply: ($) => $.text,
  from: ($) => $._from,
  via: ($) => $.dotted,
  phantom: null,
  "48V": null,
  pad: null,
  stand: () => value(words.stands),
  level: ($) => $.quantity,
  pickup: () => value(words.pickups),
  lifted: null,
  stereo: null,
  spare: ($) => optional(phrase("for", $.dotted)),
  polarity: () => value(["inverted"]),
  "ears-only": null,
  data: null,
  priority: () => value(words.priorities),
  of: ($) => $._sources,
  channel: ($) => $.numbers,
  no: ($) => ref($),
};

/** The attributes of one kind of row: each word with what it takes, and what begins with no word. */
function attributes($, list, own = {}, loose = []) {
  const values = { ...VALUES, ...own };
  const rule = (word) => {
    if (!(word in values)) throw new Error(`nothing is said of \`${word}\` in grammar.js`);
    return values[word] ? prec.right(fact(word, values[word]($))) : fact(word);
  };
  return choice(...list.map(rule), $.labels, ...loose);
}

/** Of a device, two words take something else than in a row. */
const DEVICE = {
  gain: ($) => phrase("by", ref($)),
  lifted: ($) => list($, ref($)),
};

/** A row that begins with one of a few words. */
function rows(words, values) {
  const row = (word) => {
    if (!(word in values)) throw new Error(`nothing is said of \`${word}\` in grammar.js`);
    return values[word] ? fact(word, values[word]) : fact(word);
  };
  return choice(...words.map(row));
}

/** Rows between braces, each to the end of its line or to `;`. */
const block = ($, open, row) =>
  seq(
    alias(open, "{"),
    repeat(choice(seq(row, $._end), $._end)),
    optional(row),
    choice(alias($._close, "}"), $.unclosed),
  );

const list = ($, item) => seq(item, repeat(seq($._comma, item)));

const DEVICES = words.device_words.filter((word) => word !== "outside");

/** Words that begin a model's row and may be a bank's name before a number. */
const NUMBERED = words.model_words.filter((word) => !["latency", "draws"].includes(word));

/** A word that counts only before certain others, and is a name elsewhere. */
const own = ($, ...list) => list.map((word) => alias(word, $.name));

module.exports = grammar({
  name: "fantail",

  externals: ($) => [
    $._open_act,
    $._open_numbered,
    $._open_outputs,
    $._open_other,
    $._close,
    $.unclosed,
    $._list_comma,
    $.unfinished,
    $._never,
  ],

  extras: ($) => [BLANK, $.comment, $.unfinished],
  word: ($) => $.name,
  supertypes: ($) => [$.statement],
  inline: ($) => [$._span, $._end],

  rules: {
    file: ($) => seq(repeat(choice(seq($.statement, $._end), $._end)), optional($.statement)),

    statement: ($) => choice($._anywhere, $._once),
    // What an act may hold.
    _anywhere: ($) =>
      choice(
        $.include, $.device, $.outside, $.link, $.loom, $.spare_cable, $.inputs, $.inputs_same, $.outputs,
        $.personal, $.record, $.keep, $.group, $.set, $.change, $.without, $.allow,
      ),
    _once: ($) =>
      choice($.version, $.show, $.rate, $.clock, $.carrier, $.kind, $.feed, $.mic, $.model, $.act, $.expect),

    // The head of a show.
    version: ($) => says("fantail", $.number),
    show: ($) =>
      says("show", field("title", $.text), repeat(choice(phrase("at", $.text), phrase("on", $.date)))),
    include: ($) => says("include", optional(phrase("outside")), field("path", $.text)),
    rate: ($) => says("rate", $.quantity),
    clock: ($) => says("clock", ref($)),

    // Gear.
    device: ($) => says(one(DEVICES), named($), repeat(alias($._device_attribute, $.attribute))),
    _device_attribute: ($) => attributes($, words.device_attributes, DEVICE, [$.mode]),
    outside: ($) => says("outside", named($), repeat(choice($.size, alias($._outside_attribute, $.attribute)))),
    _outside_attribute: ($) => attributes($, words.device_attributes, DEVICE),
    size: ($) => seq(field("bank", $.name), $._span),
    mode: ($) => prec.right(seq(field("bank", $.name), field("mode", $.name), optional(phrase("offset", $.number)))),
    link: ($) => says("link", $.dotted, "to", $.dotted, repeat(alias($._cable_attribute, $.attribute))),
    loom: ($) => says("loom", $._points, "to", $._points, repeat(alias($._cable_attribute, $.attribute))),
    spare_cable: ($) => says("spare", repeat1(alias($._cable_attribute, $.attribute))),
    _cable_attribute: ($) => attributes($, words.cable_attributes),

    // What must reach where.
    inputs: ($) => says("inputs", optional(ref($)), block($, $._open_numbered, $.input_row)),
    inputs_same: ($) => says("inputs", ref($), "same", "as", ref($)),
    input_row: ($) =>
      seq(optional($.numbers), named($), optional($._mic), repeat(alias($._input_attribute, $.attribute))),
    _mic: ($) => field("mic", $.name),
    _input_attribute: ($) => attributes($, words.input_attributes, {}, [$.volts]),
    // `48 V` says the same as `48V`.
    volts: () => token(seq("48", /[ \t]+/, "V")),
    outputs: ($) => says("outputs", optional(ref($)), block($, $._open_outputs, $.output_row)),
    output_row: ($) =>
      seq(field("bank", $.name), $.numbers, repeat(choice($.use, alias($._output_attribute, $.attribute)))),
    _output_attribute: ($) => attributes($, words.output_attributes),
    use: () => one(words.output_uses),
    personal: ($) => says("personal", optional(ref($)), block($, $._open_numbered, $.personal_row)),
    personal_row: ($) => seq($.numbers, $._points, repeat(alias($._personal_attribute, $.attribute))),
    _personal_attribute: ($) => attributes($, words.personal_attributes),
    record: ($) =>
      says("record", $._sources, optional(phrase("on", ref($))), optional(phrase("for", $.quantity))),
    keep: ($) => says("keep", $._points, "out", "of", list($, ref($))),
    group: ($) => says("group", named($), $._points),
    set: ($) => says("set", $._points, "from", $._points),

    // Acts.
    act: ($) =>
      says(
        "act",
        named($),
        optional(field("title", $.text)),
        optional(phrase("from", $.time)),
        optional(phrase("to", $.time)),
        block($, $._open_act, $._anywhere),
      ),

    // What must hold.
    expect: ($) => says("expect", choice($._reaches, $._spare_inputs, $._latency)),
    _reaches: ($) => phrase($.point, optional(phrase("not")), "reaches", $.point),
    _spare_inputs: ($) =>
      phrase(
        "spare", "inputs", "on",
        choice(phrase("each", "box"), field("ref", choice($.name, ...own($, "each")))),
        "at", "least", $.number,
      ),
    _latency: ($) => phrase("latency", "from", $.point, "to", $.point, "under", $.quantity),
    allow: ($) =>
      says("allow", field("rule", $.name), optional(phrase("on", $._points)), optional(phrase("because", $.text))),

    // Changes.
    change: ($) =>
      says(
        "change",
        choice(
          says("input", $.dotted, optional($._mic), repeat(alias($._input_change, $.attribute))),
          says("output", $.dotted, $._span, repeat(choice($.use, alias($._output_change, $.attribute)))),
          says("personal", optional(ref($)), $.numbers, repeat(alias($._personal_change, $.attribute))),
          says("link", $.dotted, optional(phrase("to", $.dotted)), repeat(alias($._link_change, $.attribute))),
          says("loom", $.dotted, repeat(alias($._loom_change, $.attribute))),
          says("group", ref($), repeat(alias($._group_change, $.attribute))),
          says(one(DEVICES), ref($), repeat(alias($._device_change, $.attribute))),
          says("outside", ref($), repeat(choice($.size, alias($._outside_change, $.attribute)))),
          says("rate", $.quantity),
          says("clock", ref($)),
        ),
      ),
    _input_change: ($) => attributes($, [...words.input_attributes, "channel", "no"], {}, [$.volts]),
    _output_change: ($) => attributes($, [...words.output_attributes, "no"]),
    _personal_change: ($) => attributes($, [...words.personal_attributes, "of", "no"]),
    _link_change: ($) => attributes($, [...words.cable_attributes, "no"]),
    _loom_change: ($) => attributes($, [...words.cable_attributes, "to", "no"]),
    _group_change: ($) => attributes($, ["of"]),
    _device_change: ($) => attributes($, [...words.device_attributes, "no"], DEVICE, [$.mode]),
    _outside_change: ($) => attributes($, [...words.device_attributes, "no"], DEVICE),
    without: ($) =>
      says(
        "without",
        choice(
          says("input", $.dotted),
          says("output", $.dotted, $._span),
          says("personal", optional(ref($)), $.numbers),
          says("link", $.dotted, optional(phrase("to", $.dotted))),
          says("loom", $.dotted),
          says(choice("group", "act"), ref($)),
          word(choice("record", "rate", "clock")),
          says(one(words.device_words), ref($)),
        ),
      ),

    // Kinds of gear.
    carrier: ($) => says("carrier", named($), block($, $._open_other, $.carrier_row)),
    carrier_row: ($) =>
      rows(words.carrier_words, {
        slots: phrase($.number, "at", $.quantity),
        length: $.quantity,
        screened: null,
        locking: null,
        latency: $.quantity,
      }),
    kind: ($) => says("kind", named($), block($, $._open_other, $.kind_row)),
    kind_row: ($) =>
      rows(words.kind_words, {
        signal: ref($),
        phantom: value(words.phantom_policies),
        suits: list($, value(words.pickups)),
        data: null,
        talkback: null,
        mains: null,
      }),
    feed: ($) => says("feed", ref($), "to", ref($), value(words.feed_verdicts), optional($.text)),
    mic: ($) => says("mic", named($), optional($.text), block($, $._open_other, $.mic_row)),
    mic_row: ($) =>
      rows(words.mic_words, {
        kind: ref($),
        sensitivity: $.quantity,
        needs: $.quantity,
        max: $.quantity,
        note: $.text,
      }),
    model: ($) =>
      says(
        "model",
        named($),
        optional($.text),
        optional(phrase("like", field("model", $.name))),
        block($, $._open_other, $.model_row),
      ),
    model_row: ($) =>
      choice($.bank, $.port, $.passes, $.rides, $.takes, $.copies, $.route, $.block, $.reserved, $.fact),
    // A model's own bank or port: its name may be a word that begins another row.
    _own_name: ($) => choice($.name, ...own($, ...words.model_words)),
    bank: ($) => seq(field("name", choice($.name, ...own($, ...NUMBERED))), $._span, repeat($.bank_fact)),
    bank_fact: ($) =>
      choice(
        attribute(choice("in", "out", "inner", "origin", "end", "pad", "isolated")),
        fact("gain", $.quantity, "to", $.quantity),
        fact("phantom", choice(value(["each", "none"]), phrase("in", "groups", "of", $.number))),
        fact("clip", $.quantity),
        field("signal", $.name),
      ),
    port: ($) =>
      fact(
        "port",
        named($),
        field("carrier", $.name),
        optional(phrase("to", value(words.faces))),
        optional(phrase("powers")),
        optional(phrase("needs", "power")),
      ),
    passes: ($) => seq(field("name", $._own_name), fact("passes", ref($)), optional(phrase("one", "way"))),
    rides: ($) =>
      seq(
        field("name", $._own_name),
        fact("rides", ref($)),
        choice(phrase("stacked"), phrase("at", choice(phrase("a", "setting", $.numbers), $.number))),
      ),
    takes: ($) =>
      seq(
        field("name", $._own_name),
        fact("takes", ref($)),
        choice(phrase("offset", $.numbers), phrase("at", $.number)),
        optional($._in_mode),
        optional(phrase("first", "desk", "only")),
      ),
    copies: ($) =>
      seq(
        field("name", $._own_name),
        fact("copies", ref($)),
        optional(phrase("from", $.number)),
        optional($._in_mode),
      ),
    _in_mode: ($) => phrase("in", "mode", field("mode", $.name)),
    route: ($) =>
      seq(
        choice(field("name", $._own_name), seq(field("name", choice($.name, ...own($, ...NUMBERED))), $._span)),
        fact("from", list($, ref($))),
        choice(phrase("in", "blocks", "of", $.number), phrase("one", "by", "one"), phrase("straight")),
        repeat(choice(phrase("at", "most", $.number), phrase("at", $.quantity))),
      ),
    block: ($) => fact("block", named($), $._points),
    reserved: ($) => fact("reserved", ref($), $._span, "for", ref($), optional(phrase("at", $.quantity))),
    fact: ($) =>
      choice(
        fact("pairs", list($, ref($))),
        fact("latency", $.quantity),
        fact("phantom", "limit", $.quantity),
        fact("draws", $.quantity),
        prec(1, fact("strip", $.number)),
        fact("converts"),
        fact("label", $.text),
      ),

    // What most rows are made of.
    labels: ($) => prec.right(list($, $.text)),
    _cable: ($) => seq($.quantity, repeat(seq("+", $.quantity)), repeat(value(words.cable_facts))),
    _place: ($) => choice(alias(one(words.places), $.place), seq($.quantity, $._comma, $.quantity), $.text),
    _targets: ($) => phrase($._points, repeat(phrase("and", $._points))),
    _from: ($) => choice(prec(1, value(["any"])), seq($.dotted, value(["any"])), $._points),
    _sources: ($) => choice(phrase("all", "inputs", optional(phrase("but", $._points))), $._points),
    _points: ($) => seq($.point, repeat(seq($._comma, choice($.point, $.numbers_on)))),
    // `foh.out 1-2, 5`: a list goes on in the bank before it.
    numbers_on: ($) => $._span,
    point: ($) => seq($.dotted, optional($._span)),
    dotted: ($) =>
      seq(
        choice($.name, ...own($, "any", "all", "spare", "latency")),
        repeat(seq(token.immediate("."), choice($.name, $.number))),
      ),
    numbers: ($) => list($, $._span),
    _span: ($) => choice($.number, $.range),

    _comma: ($) => seq(alias($._list_comma, ","), repeat($._newline)),
    _end: ($) => choice($._newline, ";"),
    _newline: () => /\r?\n/,

    quantity: () => token(prec(1, new RegExp(QUANTITY))),
    name: () => /([0-9_]+-)*[0-9_]*\p{L}(-?[\p{L}\p{M}0-9_])*/,
    number: () => new RegExp(NUMBER),
    range: () => /[0-9]+[-\u2013][0-9]+/,
    date: () => /[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]/,
    time: () => /[0-9][0-9]?:[0-9][0-9]/,
    text: () => /"[^"\n]*"?|[\u201c\u201e][^\u201c\u201d\n]*[\u201c\u201d]?/,
    comment: () => /#[^\n]*/,
  },
});
