//! How the command line ends, in one place: 0 fine, 1 findings or refused input, 2 wrong usage.
//! Scripts rely on these numbers, so they never change.

/// How the program ends.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Exit {
    /// Everything was done.
    Fine,
    /// Done, but something cannot be played as written.
    Findings,
    /// The input was refused or a result could not be written.
    Refused,
    /// The command line makes no sense.
    WrongUsage,
}

impl Exit {
    /// The number the system is told.
    #[must_use]
    pub const fn code(self) -> u8 {
        match self {
            Self::Fine => 0,
            Self::Findings | Self::Refused => 1,
            Self::WrongUsage => 2,
        }
    }
}
