//! Music theory as plain values: pitches and their spelling, intervals, keys, chord symbols,
//! degrees, metre and the functions a bass note can have. Pure and exact: no floats for pitch,
//! no files, no clocks. Everything above builds on these types and never on bare integers.

pub mod beats;
pub mod chord;
mod chord_changes;
mod chord_parse;
pub mod chord_parts;
mod chord_print;
mod chord_text;
pub mod degree;
pub mod interval;
pub mod key;
pub mod meter;
pub mod moves;
pub mod pitch;
pub mod roman;
pub mod scale;
mod scale_table;
pub mod tone_set;
pub mod transpose;

pub use chord::Chord;
pub use chord::ChordError;
pub use chord::ChordSymbol;
pub use chord::ChordTone;
pub use chord::Harmony;
pub use chord::HouseStyle;
pub use chord_parts::Change;
pub use chord_parts::ChordParts;
pub use chord_parts::Extension;
pub use chord_parts::Family;
pub use chord_parts::Suspension;
pub use degree::Degree;
pub use interval::Interval;
pub use key::Key;
pub use key::Mode;
pub use meter::Meter;
pub use meter::TICKS_PER_BEAT;
pub use meter::Ticks;
pub use moves::Articulation;
pub use moves::Pluck;
pub use moves::ThumbMove;
pub use pitch::Letter;
pub use pitch::Midi;
pub use pitch::PcSet;
pub use pitch::PitchClass;
pub use pitch::Spelling;
pub use scale::ChordScale;
pub use tone_set::Tone;
pub use tone_set::ToneSet;
pub use transpose::Transposition;
