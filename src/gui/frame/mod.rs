//! What stands around the work: top bar, status line, notices, offers, findings, help, questions
//! and the start page. Each part draws from the session and asks by actions.

pub mod about;
mod chart_guide;
pub mod find;
pub mod findings;
pub mod help;
pub mod import_report;
mod lanes;
pub mod look_up;
pub mod notices;
pub mod offers;
pub mod question;
mod sound_page;
pub mod start;
pub mod status;
pub mod topbar;
mod trainer;
mod transport;
