//! Thumbwalk: a workbench for arranging solo fingerstyle jazz guitar. This file is the map of
//! layers and nothing else; each layer may use only the layers that `tests/tidy.rs` allows it,
//! and the core (everything below `session`) knows no window, no sound card and no clock.

#![forbid(unsafe_code)]

pub mod arrange;
pub mod batch;
pub mod device;
pub mod document;
pub mod export;
pub mod files;
#[cfg(feature = "gui")]
pub mod gui;
pub mod import;
pub mod instrument;
pub mod score;
pub mod session;
pub mod sound;
pub mod theory;
pub mod thumb;
pub mod voicing;
