//! Tests of the window, driven by the names that a screen reader reads: find by name, click or
//! press, look at what the session and the screen say.

mod arrange;
mod bars;
mod board;
mod by_keys;
mod commands;
mod compare;
mod files;
mod find;
mod findings;
mod frame;
mod harness;
mod idle;
mod keys;
mod listening;
mod locks;
mod look;
mod names;
mod panel;
mod practice;
mod preferences;
mod safety;
mod sections;
mod sheet;
mod tune;
mod voicings;
