//! The command line: arguments, jobs, JSON and exit codes. The same core as the window.
//!
//! See the layer table in DEVELOPERS.md for what this layer may use and what it must never do.
