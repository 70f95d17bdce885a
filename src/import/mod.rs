//! From other people's text and files to documents, with notices for everything dropped or guessed.
//!
//! See the layer table in DEVELOPERS.md for what this layer may use and what it must never do.
