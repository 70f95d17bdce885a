//! Small files of every kind that can be opened, ways to damage them, and what must hold for each
//! damaged one. Used by a short test and by the long run by hand.

use std::path::Path;
use thumbwalk::document::Document;
use thumbwalk::document::tune;
use thumbwalk::export::chart_text;
use thumbwalk::export::mxl;
use thumbwalk::files;
use thumbwalk::import::Choice;
use thumbwalk::session::open;

/// What a file is meant to be.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// A chart as text.
    Chart,
    /// A project file.
    Project,
    /// A score of another program.
    Score,
}

/// A file that is well-formed.
pub struct Original {
    /// For messages.
    pub name: &'static str,
    /// What it is meant to be.
    pub kind: Kind,
    bytes: Vec<u8>,
}

const CHART: &str = "Title: A\nKey: Bb\nMeter: 4/4\nTempo: 112\nFeel: swing 2:1\nPickup: 1\n\n[A]\n\
    | F7 |: Bbmaj7 G7(b9) | Cm7 F7@4.5 | % |\nTune: F4 | D5 _ C5 A4 | Bb4 _ | _ G4@2.5 |\n\
    |1. Cm7 | F7 :|2. F7 | <2> Bb6 ||\n[B]\n| ii V7 | N.C. | V7/ii |\nTune: - | Eb5 F#5 | C5\n";

const SCORE: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<score-partwise version=\"4.0\"><work><work-title>A &amp; B</work-title></work>\
    <part-list><score-part id=\"P1\"><part-name>Voice</part-name></score-part></part-list><part id=\"P1\">\
    <measure number=\"0\" implicit=\"yes\"><attributes><divisions>4</divisions><key><fifths>-2</fifths><mode>major</mode></key>\
    <time><beats>4</beats><beat-type>4</beat-type></time><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>\
    <direction><direction-type><rehearsal>A</rehearsal></direction-type><sound tempo=\"96\"><swing><first>2</first><second>1</second></swing></sound></direction>\
    <note><pitch><step>F</step><octave>4</octave></pitch><duration>4</duration><voice>1</voice></note></measure>\
    <measure number=\"1\"><barline location=\"left\"><repeat direction=\"forward\"/></barline>\
    <harmony><root><root-step>C</root-step></root><kind text=\"m7\">minor-seventh</kind><bass><bass-step>G</bass-step></bass>\
    <degree><degree-value>9</degree-value><degree-alter>-1</degree-alter><degree-type>add</degree-type></degree><offset>2</offset></harmony>\
    <note><pitch><step>E</step><alter>-1</alter><octave>5</octave></pitch><duration>8</duration><tie type=\"start\"/></note>\
    <note><chord/><pitch><step>G</step><octave>5</octave></pitch><duration>8</duration></note>\
    <backup><duration>8</duration></backup><forward><duration>8</duration></forward><note><rest/><duration>8</duration></note></measure>\
    <measure number=\"2\"><barline location=\"left\"><ending number=\"1, 2\" type=\"start\"/></barline><note><grace/><pitch><step>A</step><octave>4</octave></pitch></note>\
    <note><pitch><step>D</step><octave>5</octave></pitch><duration>16</duration></note>\
    <barline location=\"right\"><ending number=\"1, 2\" type=\"stop\"/><repeat direction=\"backward\" times=\"3\"/></barline></measure>\
    <measure number=\"3\"><attributes><time><beats>6</beats><beat-type>8</beat-type></time><measure-style><measure-repeat type=\"start\">1</measure-repeat></measure-style></attributes></measure>\
    </part></score-partwise>";

/// Format 1, a track with tempo, metre, key and marker, and one with notes and a running status;
/// "Standard MIDI Files 1.0", MIDI Manufacturers Association, 1996.
const MIDI: &[u8] = b"MThd\0\0\0\x06\0\x01\0\x02\0\x60MTrk\0\0\0\x28\0\xFF\x03\x05A dog\0\xFF\x51\x03\x07\xA1\x20\
    \0\xFF\x58\x04\x03\x02\x18\x08\0\xFF\x59\x02\xFE\0\0\xFF\x06\x01A\x83\x00\xFF\x2F\0\
    MTrk\0\0\0\x20\0\x90\x3C\x40\x40\x3C\0\x20\x3E\x40\x20\x3E\0\0\x40\x50\x81\x40\x80\x40\0\0\x90\x45\x30\x60\x45\0\0\xFF\x2F\0";

impl Original {
    /// The file as it is before anything happens to it.
    #[allow(dead_code)]
    pub fn whole(&self) -> &[u8] {
        &self.bytes
    }
}

/// One file of every kind.
pub fn corpus() -> Vec<Original> {
    let project = open::open_text(CHART, Path::new("a.txt")).expect("a chart");
    let project = files::text_from_document(&project.document);
    let wide = SCORE.encode_utf16().flat_map(u16::to_le_bytes);
    let wide: Vec<u8> = [0xFF, 0xFE].into_iter().chain(wide).collect();
    let all = [
        ("chart text", Kind::Chart, CHART.as_bytes().to_vec()),
        ("MusicXML", Kind::Score, SCORE.as_bytes().to_vec()),
        ("MusicXML in UTF-16", Kind::Score, wide),
        ("compressed MusicXML", Kind::Score, mxl::pack(SCORE)),
        ("MIDI", Kind::Score, MIDI.to_vec()),
        ("project", Kind::Project, project.into_bytes()),
    ];
    let all = all.into_iter();
    all.map(|(name, kind, bytes)| Original { name, kind, bytes })
        .collect()
}

/// SplitMix64: Steele, Lea and Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        let z = z ^ (z >> 31);
        (z % u64::try_from(n.max(1)).expect("small")) as usize
    }
}

/// Longest damaged file.
const MAX_BYTES: usize = 64 * 1024;

/// A file of the corpus, damaged in up to eight places.
pub fn mutated(corpus: &[Original], idx: usize, seed: u64) -> Vec<u8> {
    let mut dice = Dice(seed.wrapping_mul(0x1_0000_01B3).wrapping_add(idx as u64));
    let mut bytes = corpus[idx].bytes.clone();
    for _ in 0..=dice.below(8) {
        let at = dice.below(bytes.len().max(1));
        let end = (at + 1 + dice.below(24)).min(bytes.len());
        match dice.below(9) {
            0 if at < bytes.len() => bytes[at] ^= 1 << dice.below(8),
            1 if at < bytes.len() => bytes[at] = dice.below(256) as u8,
            2 => bytes.insert(at.min(bytes.len()), dice.below(256) as u8),
            3 if at < end => drop(bytes.drain(at..end)),
            4 if at < end => {
                // Something of the file once more, elsewhere, perhaps many times.
                let piece = bytes[at..end].to_vec();
                let to = dice.below(bytes.len());
                let times = [1, 1, 2, 40][dice.below(4)];
                bytes.splice(to..to, piece.repeat(times));
            }
            5 => bytes.truncate(at),
            6 => {
                // Digits become other numbers, some of them out of all proportion.
                let is_digit = |b: &u8| b.is_ascii_digit();
                let from = bytes.iter().skip(at).position(is_digit).map(|i| i + at);
                let words: [&[u8]; 8] = [
                    b"0",
                    b"-1",
                    b"7",
                    b"99",
                    b"65536",
                    b"4294967296",
                    b"1e9",
                    b"0.001",
                ];
                if let Some(from) = from {
                    bytes.splice(from..=from, words[dice.below(8)].iter().copied());
                }
            }
            7 => {
                let other = &corpus[dice.below(corpus.len())].bytes;
                let from = dice.below(other.len());
                let until = (from + 1 + dice.below(60)).min(other.len());
                bytes.splice(
                    at.min(bytes.len())..at.min(bytes.len()),
                    other[from..until].iter().copied(),
                );
            }
            _ if at < bytes.len() => {
                bytes[at] = [0, 0xFF, 0x7F, 0x80, b'<', b'|', b'(', b'"'][dice.below(8)]
            }
            _ => {}
        }
        bytes.truncate(MAX_BYTES);
    }
    bytes
}

/// Opens one file; whether it could be read. Panics if what was read is no sound document, or if a
/// refusal has no words.
pub fn try_one(kind: Kind, bytes: &[u8]) -> bool {
    let name = match kind {
        Kind::Chart => "damaged.txt",
        Kind::Project => "damaged.ron",
        Kind::Score => "damaged.musicxml",
    };
    match open::open_bytes(bytes.to_vec(), Path::new(name), Choice::default()) {
        Ok(opened) => {
            sound(&opened.document, kind);
            true
        }
        Err(message) => {
            assert!(message.len() > 10, "a refusal in words: {message:?}");
            false
        }
    }
}

/// What holds for every document, wherever it came from.
fn sound(document: &Document, kind: Kind) {
    for (number, bar) in document.bars().enumerate() {
        let length = document.bar_length(number);
        assert!(length.0 > 0, "bar {number}");
        assert_eq!(
            tune::fault(&bar.tune, length),
            None,
            "bar {number}: {:?}",
            bar.tune
        );
        assert!(
            bar.chords.iter().all(|chord| chord.at < length),
            "bar {number}"
        );
    }
    let chart = chart_text::write(document);
    if kind == Kind::Score {
        // Whatever another program wrote can be kept, as a project and as a chart.
        let (again, _) =
            thumbwalk::import::chart::read(&chart).unwrap_or_else(|e| panic!("{e}\n{chart}"));
        let tune = |document: &Document| -> Vec<_> {
            document.bars().map(|bar| bar.tune.clone()).collect()
        };
        assert_eq!(tune(&again), tune(document), "{chart}");
        let project = files::text_from_document(document);
        let (again, notices) = files::project_from_text(&project).expect("our own project");
        assert_eq!((&again, notices), (document, Vec::new()));
    }
}
