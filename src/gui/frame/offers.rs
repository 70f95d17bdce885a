//! Cards below the top bar for what the user may take up or leave: unsaved work of a run that ended
//! without warning, a project's file that somebody else has changed, and names that other files have
//! already. Turns each offer into a sentence and its buttons, and a button into what it does. Cards
//! take their own room, stay until they are answered, and never stop the work.

use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::theme;
use crate::gui::words;
use crate::session::Action;
use crate::session::Offer;
use crate::session::Written;
use egui::Button;
use egui::RichText;
use egui::Ui;
use egui::Vec2;

/// The most cards shown at once; others wait.
const MOST: usize = 3;

const EXPORT_ELSEWHERE: &str = "Export under another name…";

/// What a button of a card does.
#[derive(Clone, PartialEq, Debug)]
enum Answer {
    Act(Action),
    Window(Command),
}

/// A card in words: sentence, and per button its words, its accessible name and what it does.
struct Card {
    text: String,
    buttons: Vec<(&'static str, String, Answer)>,
}

/// Shows the cards.
pub fn offers_ui(ui: &mut Ui, offers: &[Offer], actions: &mut Actions) {
    for (idx, offer) in offers.iter().take(MOST).enumerate() {
        ui.push_id(idx, |ui| card_ui(ui, card(offer), actions));
    }
}

fn card_ui(ui: &mut Ui, card: Card, actions: &mut Actions) {
    let p = theme::palette(ui.visuals());
    ui.horizontal_wrapped(|ui| {
        let (_, rect) = ui.allocate_space(Vec2::new(4.0, 24.0));
        ui.painter().rect_filled(rect, 2, p.thumb);
        ui.label(RichText::new(card.text));
        for (words, name, answer) in card.buttons {
            if ui.add(Button::new(words)).accessible_name(name).clicked() {
                match answer {
                    Answer::Act(action) => actions.act(action),
                    Answer::Window(command) => actions.window(command),
                }
            }
        }
    });
}

fn card(offer: &Offer) -> Card {
    match offer {
        Offer::LeftBehind {
            number,
            name,
            ago_s,
            file_changed,
            is_draft,
        } => {
            let what = match (is_draft, name.is_empty()) {
                (true, _) => "Chords that were being typed".to_owned(),
                (false, true) => "Unsaved work on a tune without a title".to_owned(),
                (false, false) => format!("Unsaved work on “{name}”"),
            };
            let when = ago_s.map(|ago| format!(", {}", words::ago(ago)));
            let changed = if *file_changed {
                "; its file has been changed since, and is only replaced if you save"
            } else {
                ""
            };
            let named = |verb: &str| match (is_draft, name.is_empty()) {
                (true, _) => format!("{verb} typed chords"),
                (false, true) => format!("{verb} untitled work"),
                (false, false) => format!("{verb} unsaved work on {name}"),
            };
            Card {
                text: format!("{what}{}{changed}", when.unwrap_or_default()),
                buttons: vec![
                    (
                        "Restore",
                        named("restore"),
                        Answer::Window(Command::Restore(*number)),
                    ),
                    (
                        "Discard",
                        named("discard"),
                        Answer::Act(Action::DiscardLeft(*number)),
                    ),
                ],
            }
        }
        Offer::NameTaken { what, names } => name_taken(*what, names),
        Offer::FileChanged { name, saving } => {
            let (before, mine) = if *saving {
                ("Not saved: ", "Save mine over it")
            } else {
                ("", "Keep mine")
            };
            let button = |words: &'static str, answer| (words, words.to_lowercase(), answer);
            Card {
                text: format!("{before}“{name}” has been changed by another program"),
                buttons: vec![
                    button(mine, Answer::Act(Action::KeepMine)),
                    button("Load theirs", Answer::Act(Action::LoadTheirs)),
                    button("Save mine as…", Answer::Window(Command::AskSaveAs)),
                ],
            }
        }
    }
}

fn name_taken(what: Written, names: &[String]) -> Card {
    let (not_done, other_name, ask) = match what {
        Written::Project => ("saved", "Save under another name…", Command::AskSaveAs),
        Written::Export => ("exported", EXPORT_ELSEWHERE, Command::AskExport),
        Written::ExportSet => ("exported", EXPORT_ELSEWHERE, Command::AskExportSet),
        Written::Booklet => ("written", "Write under another name…", Command::AskBooklet),
    };
    let quoted: Vec<String> = names.iter().map(|name| format!("“{name}”")).collect();
    let (are, replace, leave) = match names {
        [_] => ("is a file", "Replace it", "Leave it"),
        _ => ("are files", "Replace them", "Leave them"),
    };
    let quoted = quoted.join(", ");
    let spoken = names.join(", ");
    Card {
        text: format!("Not {not_done}: there {are} {quoted} already"),
        buttons: vec![
            (
                replace,
                format!("replace {spoken}"),
                Answer::Act(Action::ReplaceFiles),
            ),
            (
                other_name,
                other_name.trim_end_matches('…').to_lowercase(),
                Answer::Window(ask),
            ),
            (
                leave,
                format!("leave {spoken}"),
                Answer::Act(Action::LeaveFiles),
            ),
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_card_says_what_it_is_about_and_what_its_buttons_do() {
        let left = |name: &str, ago_s, file_changed, is_draft| Offer::LeftBehind {
            number: 0,
            name: name.into(),
            ago_s,
            file_changed,
            is_draft,
        };
        let taken = |what, names: &[&str]| Offer::NameTaken {
            what,
            names: names.iter().map(|name| (*name).into()).collect(),
        };
        let changed = |saving| Offer::FileChanged {
            name: "mill.ron".into(),
            saving,
        };
        for (offer, text, first) in [
            (
                left("Mill walk", Some(3700), false, false),
                "Unsaved work on “Mill walk”, an hour ago",
                "restore unsaved work on Mill walk",
            ),
            (
                left("", None, true, false),
                "Unsaved work on a tune without a title; its file has been changed since, and is \
                 only replaced if you save",
                "restore untitled work",
            ),
            (
                left("", Some(5), false, true),
                "Chords that were being typed, just now",
                "restore typed chords",
            ),
            (
                taken(Written::Project, &["mill.ron"]),
                "Not saved: there is a file “mill.ron” already",
                "replace mill.ron",
            ),
            (
                taken(Written::ExportSet, &["mill.pdf", "mill.mid"]),
                "Not exported: there are files “mill.pdf”, “mill.mid” already",
                "replace mill.pdf, mill.mid",
            ),
            (
                changed(false),
                "“mill.ron” has been changed by another program",
                "keep mine",
            ),
            (
                changed(true),
                "Not saved: “mill.ron” has been changed by another program",
                "save mine over it",
            ),
        ] {
            let card = card(&offer);
            assert_eq!(card.text, text);
            assert_eq!(card.buttons[0].1, first);
        }
    }
}
