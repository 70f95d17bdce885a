//! Plucked strings computed by us: string model, bank of notes, timeline and renderer. Fills a
//! buffer; knows no device, no file and no lock. A caller fills a [`Bank`] for a performance,
//! makes a [`Timeline`] of both and hands it to the [`Renderer`] through its [`Remote`].

pub mod bank;
pub mod body;
pub mod click;
pub mod knob;
pub mod limiter;
pub mod pluck;
pub mod renderer;
pub mod room;
pub mod string_loop;
pub mod string_set;
pub mod sympathy;
pub mod timeline;
pub mod transport;
pub mod voice;

pub use bank::Bank;
pub use bank::Kept;
pub use bank::NoteKey;
pub use pluck::LONGEST_S;
pub use pluck::NoteSpec;
pub use pluck::Stroke;
pub use pluck::VARIANTS;
pub use pluck::render_note;
pub use renderer::LATENCY_FRAMES;
pub use renderer::Renderer;
pub use timeline::Row;
pub use timeline::Timeline;
pub use timeline::glide_s;
pub use transport::CountIn;
pub use transport::DEFAULT_GAIN;
pub use transport::NextPass;
pub use transport::Playhead;
pub use transport::Remote;
pub use transport::Swap;
pub use transport::transport;
pub use voice::glided;
