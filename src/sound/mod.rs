//! Plucked strings computed by us: string model, sampler and renderer. Fills a buffer; knows no device.
//!
//! See the layer table in DEVELOPERS.md for what this layer may use and what it must never do.
