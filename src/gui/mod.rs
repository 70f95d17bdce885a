//! Every egui line of the program: frame, grid, fretboard, comparison, transport, theme.
//! Draws from `&Session` and pushes actions; never changes a document, opens a file or starts a
//! thread.
