//! Project files (RON, versioned), atomic saving and settings. The only layer that opens files.
//!
//! See the layer table in DEVELOPERS.md for what this layer may use and what it must never do.
