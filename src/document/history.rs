//! Undo and redo by keeping whole documents, which share what did not change.

/// The past and the future of a document.
#[derive(Debug, Default)]
pub struct History {}
