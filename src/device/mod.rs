//! The sound card (the only user of rodio) and a silent stand-in.
//!
//! See the layer table in DEVELOPERS.md for what this layer may use and what it must never do.
