//! What stands at the beginning of the tune: key, metre, both staves with their clefs, the tuning
//! with its capo, tempo and swing.

use super::pitch;
use super::xml::Xml;
use crate::document::Document;
use crate::score::staff_pitch::Pitch;
use crate::score::swing_ratio;
use crate::theory::Key;
use crate::theory::Mode;

/// Writes the attributes of the first bar. Durations count in our own ticks.
pub fn attributes(xml: &mut Xml, document: &Document, time: Option<(u8, u8)>) {
    let meter = document.meter;
    xml.inside("attributes", &[], |xml| {
        xml.leaf("divisions", meter.ticks_per_quarter());
        xml.inside("key", &[], |xml| {
            xml.leaf("fifths", document.key.fifths());
            xml.leaf(
                "mode",
                match document.key.mode {
                    Mode::Major => "major",
                    Mode::Minor => "minor",
                },
            );
        });
        time_element(xml, time.unwrap_or((meter.count(), 2)));
        xml.leaf("staves", 2);
        xml.inside("clef", &[("number", "1")], |xml| {
            xml.leaf("sign", "G");
            xml.leaf("line", 2);
            xml.leaf("clef-octave-change", -1);
        });
        xml.inside("clef", &[("number", "2")], |xml| {
            xml.leaf("sign", "TAB");
            xml.leaf("line", 5);
        });
        tuning(xml, document);
    });
}

/// Writes a time signature; the unit is given by its logarithm.
pub fn time_element(xml: &mut Xml, (count, unit_log2): (u8, u8)) {
    xml.inside("time", &[], |xml| {
        xml.leaf("beats", count);
        xml.leaf("beat-type", 1u32 << unit_log2);
    });
}

/// Open strings without the capo, line 1 the lowest. Frets count from the capo.
fn tuning(xml: &mut Xml, document: &Document) {
    let open = document.instrument.tuning.open();
    xml.inside("staff-details", &[("number", "2")], |xml| {
        xml.leaf("staff-lines", open.len());
        for (line, midi) in (1..).zip(open) {
            let line = format!("{line}");
            xml.inside("staff-tuning", &[("line", &line)], |xml| {
                let spelling = Key::C_MAJOR.spell(midi.pitch_class(), false);
                pitch::write(xml, Pitch::new(*midi, spelling), "tuning-");
            });
        }
        if document.instrument.capo > 0 {
            xml.leaf("capo", document.instrument.capo);
        }
    });
}

/// Writes tempo and swing, for eyes and for players.
pub fn tempo(xml: &mut Xml, document: &Document) {
    let compound = document.meter.is_compound();
    let ratio = swing_ratio(document.feel, document.tempo_bpm, document.meter);
    let permille = (ratio * 1000.0).round() as u32;
    let (long, short) = reduced(permille, 1000);
    let beats = f64::from(document.tempo_bpm);
    let quarters = if compound { 1.5 * beats } else { beats };
    xml.inside("direction", &[("placement", "above")], |xml| {
        xml.inside("direction-type", &[], |xml| {
            xml.inside("metronome", &[], |xml| {
                xml.leaf("beat-unit", "quarter");
                if compound {
                    xml.empty("beat-unit-dot", &[]);
                }
                xml.leaf("per-minute", document.tempo_bpm);
            });
        });
        if long != short {
            xml.inside("direction-type", &[], |xml| {
                xml.leaf("words", format!("Swing {long}:{short}"));
            });
        }
        xml.leaf("staff", 1);
        xml.inside("sound", &[("tempo", &quarters.to_string())], |xml| {
            xml.inside("swing", &[], |xml| {
                if long == short {
                    xml.empty("straight", &[]);
                } else {
                    xml.leaf("first", long);
                    xml.leaf("second", short);
                    xml.leaf("swing-type", "eighth");
                }
            });
        });
    });
}

fn reduced(a: u32, b: u32) -> (u32, u32) {
    let (mut x, mut y) = (a, b);
    while y > 0 {
        (x, y) = (y, x % y);
    }
    let common = x.max(1);
    (a / common, b / common)
}
