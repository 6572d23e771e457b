//! What a help leaves open: the first free socket, channel or number, which is known only when every row is
//! read. Until then the help stands without it.

/// What is to be found free, for the row at the diagnostic's place.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Vacancy {
    /// Where it plugs in, or where it is sent, for the help "plug `bass` into …".
    Move,
    /// For the help "write …".
    Write,
    /// Beside what the help says: "…; `left 7` is free".
    Beside,
    Channel,
    Feed,
}
