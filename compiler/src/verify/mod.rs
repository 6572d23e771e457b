//! The independent evaluator. It knows plugs, settings, cables and the models' wiring, walks every
//! end point back to its source, and compares with what the plan claims and with what was wanted.
//! It imports `plan` and nothing else of the compiler.
