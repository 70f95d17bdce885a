//! A chord symbol over the notes: root, kind with the text of the house style, bass, degrees (for
//! programs, not printed a second time) and the chord diagram with its fingers and barres.

use super::kinds;
use super::xml::Xml;
use crate::document::ChordAt;
use crate::instrument::Finger;
use crate::instrument::Grip;
use crate::instrument::StringIdx;
use crate::score::pages::diagram;
use crate::theory::Chord;
use crate::theory::Harmony;
use crate::theory::HouseStyle;
use crate::theory::Spelling;

/// Writes one symbol. The diagram is there whenever there is a grip; `print_frame` says whether
/// it is meant to be seen.
pub fn write(
    xml: &mut Xml,
    chord: &ChordAt,
    style: HouseStyle,
    grip: Option<&Grip>,
    print_frame: bool,
) {
    let frame = if print_frame { "yes" } else { "no" };
    xml.inside("harmony", &[("print-frame", frame)], |xml| {
        match &chord.harmony {
            Harmony::Chord(symbol) => {
                let printed = chord.harmony.printed(style);
                symbol_parts(xml, symbol.chord(), &printed);
            }
            Harmony::NoChord => {
                xml.inside("root", &[], |xml| {
                    xml.leaf_with("root-step", &[("text", "")], "C");
                });
                xml.leaf_with("kind", &[("text", "N.C.")], "none");
            }
        }
        if let Some(grip) = grip {
            write_frame(xml, grip);
        }
        xml.leaf("staff", 1);
    });
}

fn symbol_parts(xml: &mut Xml, chord: &Chord, printed: &str) {
    let (kind, changes) = kinds::of(chord);
    note(xml, "root", chord.root());
    xml.leaf_with("kind", &[("text", quality(chord, printed))], kind);
    if let Some(bass) = chord.slash_bass() {
        note(xml, "bass", bass);
    }
    for change in changes {
        xml.inside("degree", &[("print-object", "no")], |xml| {
            xml.leaf("degree-value", change.number);
            xml.leaf("degree-alter", change.alter);
            xml.leaf("degree-type", change.kind);
        });
    }
}

/// What is printed between root and slash.
fn quality<'a>(chord: &Chord, printed: &'a str) -> &'a str {
    let start: usize = printed
        .chars()
        .take(chord.root().to_string().len())
        .map(char::len_utf8)
        .sum();
    let tail = printed.get(start..).unwrap_or_default();
    let slash = chord.slash_bass().and_then(|_| tail.rfind('/'));
    slash.and_then(|at| tail.get(..at)).unwrap_or(tail)
}

/// `root-step` and `root-alter`, or the same of the bass.
fn note(xml: &mut Xml, name: &str, spelling: Spelling) {
    xml.inside(name, &[], |xml| {
        xml.leaf(&format!("{name}-step"), spelling.letter().to_char());
        if spelling.alter() != 0 {
            xml.leaf(&format!("{name}-alter"), spelling.alter());
        }
    });
}

fn write_frame(xml: &mut Xml, grip: &Grip) {
    let (first, n_frets) = diagram::window(grip);
    let n_strings = grip.shape.n_strings();
    xml.inside("frame", &[], |xml| {
        xml.leaf("frame-strings", n_strings);
        xml.leaf("frame-frets", n_frets);
        if first > 1 {
            xml.leaf("first-fret", first);
        }
        for (string, fret) in grip.shape.sounding() {
            xml.inside("frame-note", &[], |xml| {
                xml.leaf("string", string.number(n_strings));
                xml.leaf("fret", fret);
                let finger = grip.finger(string).filter(|_| fret > 0);
                let Some(finger) = finger else {
                    return;
                };
                xml.leaf("fingering", finger.digit());
                if let Some(end) = barre_end(grip, finger, string) {
                    xml.empty("barre", &[("type", end)]);
                }
            });
        }
    });
}

/// Whether a barre begins or ends on a string. It begins on the lowest-pitched one.
fn barre_end(grip: &Grip, finger: Finger, string: StringIdx) -> Option<&'static str> {
    let (_, first, last) = grip.place_of(finger).filter(|(_, a, b)| a != b)?;
    match string {
        s if s == first => Some("start"),
        s if s == last => Some("stop"),
        _ => None,
    }
}
