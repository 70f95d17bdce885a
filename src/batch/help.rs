//! The help texts of the command line and which options each command takes: the one place where
//! both are written, so that they cannot tell different stories. Shows only what works.

/// What help can be asked about.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Topic {
    /// The program as a whole.
    Main,
    /// `chord`
    Chord,
    /// `voicings`
    Voicings,
    /// `arrange`
    Arrange,
    /// `import`
    Import,
    /// `export`
    Export,
    /// `check`
    Check,
    /// `events`
    Events,
    /// `keys`
    Keys,
    /// `drill`
    Drill,
    /// `compare`
    Compare,
    /// `ladder`
    Ladder,
    /// `trellis`
    Trellis,
}

impl Topic {
    /// Every command, in the order of the help text.
    pub const COMMANDS: [Self; 12] = [
        Self::Chord,
        Self::Voicings,
        Self::Arrange,
        Self::Import,
        Self::Export,
        Self::Check,
        Self::Events,
        Self::Keys,
        Self::Drill,
        Self::Compare,
        Self::Ladder,
        Self::Trellis,
    ];

    /// The word of a command; the program as a whole has none.
    pub const fn word(self) -> Option<&'static str> {
        match self {
            Self::Main => None,
            Self::Chord => Some("chord"),
            Self::Voicings => Some("voicings"),
            Self::Arrange => Some("arrange"),
            Self::Import => Some("import"),
            Self::Export => Some("export"),
            Self::Check => Some("check"),
            Self::Events => Some("events"),
            Self::Keys => Some("keys"),
            Self::Drill => Some("drill"),
            Self::Compare => Some("compare"),
            Self::Ladder => Some("ladder"),
            Self::Trellis => Some("trellis"),
        }
    }

    /// The command with this word.
    pub fn from_word(word: &str) -> Option<Self> {
        let mut commands = Self::COMMANDS.into_iter();
        commands.find(|topic| topic.word() == Some(word))
    }

    /// The options it takes, without hyphens.
    pub const fn options(self) -> &'static [&'static str] {
        match self {
            Self::Main => &[],
            Self::Chord | Self::Check | Self::Events | Self::Trellis => &["json"],
            Self::Voicings => &["bass", "tuning", "capo", "top", "json"],
            Self::Arrange => &[
                "o",
                "walk",
                "seed",
                "riff",
                "without-rule",
                "swing",
                "lay-back",
                "approach",
                "choruses",
                "tuning",
                "capo",
            ],
            Self::Import => &["o", "part", "track", "grid", "list"],
            Self::Export => &[
                "o", "purpose", "paper", "staff", "font", "size", "bars", "table", "chorus", "dpi",
                "rate", "bits", "stems",
            ],
            Self::Drill => &["lines", "rung", "series"],
            Self::Keys => &["capos", "capo", "tunings", "range", "top", "json"],
            Self::Compare => &["kept", "json"],
            Self::Ladder => &["o"],
        }
    }

    /// The usage lines.
    pub fn usage(self) -> String {
        let lines = text(self)
            .lines()
            .skip_while(|line| !line.starts_with("usage:"));
        let lines: Vec<&str> = lines.take_while(|line| !line.is_empty()).collect();
        lines.join("\n")
    }
}

/// The help text of a topic.
pub const fn text(topic: Topic) -> &'static str {
    match topic {
        Topic::Main => MAIN,
        Topic::Chord => CHORD,
        Topic::Voicings => VOICINGS,
        Topic::Arrange => ARRANGE,
        Topic::Import => IMPORT,
        Topic::Export => EXPORT,
        Topic::Check => CHECK,
        Topic::Events => EVENTS,
        Topic::Keys => KEYS,
        Topic::Drill => DRILL,
        Topic::Compare => COMPARE,
        Topic::Ladder => LADDER,
        Topic::Trellis => TRELLIS,
    }
}

const MAIN: &str = "\
Thumbwalk: a workbench for arranging solo fingerstyle jazz guitar

usage: thumbwalk [FILE]
       thumbwalk COMMAND …

Without a command the window opens, with FILE in it if one is named. FILE is a
project (.ron), a chart as plain text, or a score of another program (.musicxml,
.xml, .mxl, .mid).

Commands:
  chord SYMBOL         what a chord symbol means
  voicings SYMBOL      every way a hand can play it, the easiest first
  arrange CHART -o P   make a project from a chart and solve it
  import FILE -o P     make a project or a chart from another program's file
  export FILE -o OUT   write pages, text or sound; OUT's ending decides
  check FILE           what cannot be played as written, and what would help
  events FILE          every note with its time, string, fret and fingers
  keys FILE            in which key the tune lies best
  drill FILE           lines to practise, another one every time round
  compare A B          two versions of a tune, bar by bar
  ladder FILE -o DIR   the same tune on rising rungs, for students
  trellis FILE         the solved problem itself, for another solver

Each has its own --help. A FILE of - is read from standard input.
Results go to standard output, messages to standard error.
Exit: 0 fine, 1 findings or refused input, 2 wrong usage.

Other options:
  -h, --help           this text
  -V, --version        the version
";

const CHORD: &str = "\
What a chord symbol means: its notes with their degrees, what every voicing
must have and what may go

usage: thumbwalk chord SYMBOL [--json]

Put quotation marks around symbols with brackets or #: thumbwalk chord 'G7(#9)'

  --json   one object: format (\"thumbwalk-chord-1\"), symbol, root, bass,
           notes (spelled), pitch_classes, required, optional (C = 0)
";

const VOICINGS: &str = "\
Every way a hand can play a chord: shape, fingers, degrees, effort; the easiest
first, and all of them unless you say otherwise

usage: thumbwalk voicings SYMBOL [--bass B] [--tuning T] [--capo N] [--top N] [--json]

  --bass B     what the thumb takes: root (the default; the slash bass where one
               is written), any, 3, 5 or 7
  --tuning T   open strings, lowest first: 'D2 A2 D3 G3 B3 E4', or a name: standard,
               drop D, D modal, open G, half step down, seven-string A,
               seven-string B
  --capo N     the fret the capo sits on; frets then count from there
  --top N      only the N easiest
  --json       one object: format (\"thumbwalk-voicings-1\"), symbol, tuning, count
               and voicings, each with frets and fingers (lowest-pitched string
               first; null is not played, finger 0 is open, \"T\" the thumb),
               thumb_string (1 is the highest-pitched), degrees, notes, family
               and effort (total and terms in thousandths of a point)

Shapes are written from the lowest-pitched string: 3x443x. Effort is in points.
";

const ARRANGE: &str = "\
Make a project from a chart (or from another project), solve it, and say how
hard it is

usage: thumbwalk arrange CHART -o FILE [--seed N] [--swing R|straight|tempo]
                         [--lay-back MS] [--walk W] [--riff] [--without-rule RULE]
                         [--approach A] [--choruses N] [--tuning T] [--capo N]

  -o FILE        the project to write; its name ends in .ron
  --walk W       how the thumb walks: roots, plain (roots, and an approach before
                 each change), two-approaches, runs, or mixed
  --seed N       another seed is another thumb line, the same seed is the same
                 one; in a plain walk nothing varies, so this asks for
                 two-approaches unless --walk says otherwise
  --riff         bars of the same shape take the same moves wherever the rules let
                 them; a plain walk is the same everywhere anyway
  --without-rule RULE
                 switch a rule of the thumb line off, as often as you like:
                 root-first, root-on-downbeat, tone-on-downbeat,
                 approach-before-change, opposite-sides, runs-lead-on,
                 answer-leaps, fresh-notes, silence-alone, fresh-bars or range;
                 in a plain walk no line is written, so nothing changes
  --swing R      long to short of the eighths, 1 to 3.5 (2 is a triplet feel), or
                 straight, or tempo: the faster, the straighter
  --lay-back MS  milliseconds by which fingers and tune come late on the beat, 0 to
                 40; the thumb and all off-beats are in time (30 is what soloists do)
  --approach A   where the approaches of a plain walk come from: below, above,
                 alternate or easiest
  --choruses N   how often it is played through, 1 to 12, each time with a line of
                 its own where one is written
  --tuning T     open strings, lowest first: 'D2 A2 D3 G3 B3 E4', or a name: standard,
                 drop D, D modal, open G, half step down, seven-string A,
                 seven-string B
  --capo N       the fret the capo sits on

CHART may be - for standard input. Without an option the chart's own setting
stays. Exit 1 if something in it cannot be played as written; the project is
written all the same.
";

const IMPORT: &str = "\
Make a project or a chart from a file of another program: chords, tune, form.
Whatever has to be dropped, rounded or guessed is told, bar by bar

usage: thumbwalk import FILE -o FILE [--part N] [--grid G]
       thumbwalk import FILE --list [--part N]

FILE is MusicXML (.musicxml, .xml, or .mxl, which is compressed), MIDI (.mid; a
tune without chords) or a chart as plain text, and may be - for standard input.
All other commands and the window take such files as well.

  -o FILE    what to write: a project (.ron) or a chart as plain text (.txt)
  --part N   the part whose first voice is the tune; without it the first part
             with chord symbols and notes
  --track N  the track of a MIDI file that is the tune; without it the one named
             so, else the first with notes
  --grid G   what the notes of a MIDI file are brought to: 8 (eighths, swung ones
             too), 8t (triplets) or 16; without it what fits best
  --list     show the parts or tracks there are, the one taken with a star
";

const EXPORT: &str = "\
Write a project or a chart in other formats

usage: thumbwalk export FILE -o OUT [-o OUT …]
                        [--purpose handout|score|beginner] [--paper a4|letter]
                        [--staff on|off] [--font sans|serif]
                        [--size small|normal|large] [--bars auto|N]
                        [--table on|page|off] [--chorus N|all] [--dpi N]
                        [--rate 44100|48000] [--bits 16|24] [--stems]

OUT's ending decides:
  .pdf   pages to hand out: tab with rhythm, chord diagrams, fingerings, advice
  .svg   the same pages as drawings; further pages become OUT-2.svg and so on
  .png   the same pages as pictures, likewise
  .txt   tab as plain text; .chart.txt the chart alone, as it can be typed
  .wav   sound
  .mid   MIDI: a track per lane, repeats unfolded, swing in the notes
  .musicxml, .mxl
         notation and tab for notation programs (MusicXML 4.0); .mxl is compressed
  .csv   the movement table for spreadsheets, with its legend

  -o OUT         the file to write; several are written in one go, and if one of
                 them has no known ending none is
  --purpose P    what pages are for: handout, score or beginner, each with its usual
                 settings, which the options below can change again
  --paper P      the paper of pages, a4 or letter, if not the project's own
  --staff S      on: a staff with notes above the tab of pages; off: tab alone
  --font F       letters and figures of pages: sans (Andika) or serif (Charis SIL)
  --size S       how large the music is on pages: small, normal or large
  --bars N       bars in a system of pages, 1 to 8, or auto
  --table T      the movement table of pages: on, behind the music; page, on a page
                 of its own; off
  --chorus N     of a tune with choruses, the one that pages, text, notation and
                 movement table show; all: the pages of all, one after another
  --dpi N        dots per inch of .png, 36 to 600; 150 unless you say otherwise
  --rate R       of sound: frames a second, 44100 or 48000 (the default)
  --bits B       of sound: bits of a sample, 16 (the default) or 24
  --stems        of sound: beside the whole, a file for every lane that has notes,
                 OUT-fingers.wav and so on; added up they are the whole
";

const CHECK: &str = "\
What cannot be played as written or breaks a rule of the craft, where, and what
would help

usage: thumbwalk check FILE [--json]

  --json   one object: format (\"thumbwalk-check-1\"), title, sum and max (effort
           of the whole and of the hardest change, in thousandths),
           comfortable_bpm (an estimate), line (how much the bars of the written
           thumb line differ in their moves: bars with a chord, different ones
           among them, repeated for those like the one before; null in a plain
           walk, where no line is written), faults (how many) and findings, each
           with kind, fault, bar (from 1), tick, message, remedies (words, the
           nearest first) and remedy (the first of them)

Exit 1 if there is a fault. Cautions, such as a wide stretch, are no faults.
";

const EVENTS: &str = "\
Every note of the arrangement in the order it is played, repeats unfolded and
all choruses

usage: thumbwalk events FILE [--json]

  --json   one object: format (\"thumbwalk-events-1\"), meter, tempo, swing (long
           to short) and notes, each with chorus (from 1), bar (as written, from 1),
           tick, ticks_per_beat, start_s, end_s, string (1 is the highest-pitched),
           fret (from the capo), finger (0 is open, \"T\" the thumb), hand (p i m a),
           lane (thumb, fingers, tune), pitch (MIDI), move (thumb only),
           articulation (ring, short) and slide_from (a fret)
";

const KEYS: &str = "\
In which key the tune lies best: all twelve solved, the least effort first

usage: thumbwalk keys FILE [--capos FRETS] [--tunings T,T] [--range LOW-HIGH]
                      [--top N] [--json]

Shapes and places on the neck that were chosen by hand belong to one key and do
not count here.

  --capos F     frets of the capo to try, at most 5: 0-5, or 0,2,3; else the tune's
                own capo stays. --capo 5 is short for 0-5
  --tunings T   tunings to try, by name or open strings, with commas between:
                'standard,drop D'; else the tune's own stays
  --range R     the lowest and the highest note that can be sung, such as D3-E5:
                keys in which the written tune leaves it come last. The tune may be
                sung in any octave
  --top N       the best N only
  --json        one object: format (\"thumbwalk-keys-1\"), title, key and keys, each
                with key, semitones (from the chart's key), capo, tuning, range
                (null without --range, else octaves by which the tune is sung higher,
                below and above: semitones outside), sum and max (in thousandths),
                comfortable_bpm (an estimate), faults, and bars (the effort of each)
";

const COMPARE: &str = "\
Two versions of a tune side by side: what each costs the hands, and the bars in
which thumb, grips, strikes or tune differ

usage: thumbwalk compare A B [--json]
       thumbwalk compare A --kept NAME [--json]

A and B are projects, charts or scores; one of them may be - for standard input.

  --kept NAME   compare with a version kept in A's project, by its name
  --json        one object: format (\"thumbwalk-compare-1\"), a and b (each with
                title, sum and max in thousandths, hardest, comfortable_bpm,
                faults and n_bars) and bars, all of them, each with bar (from 1),
                effort_a and effort_b (null where there is no such bar), differs,
                thumb and tune (tick; a and b, each null or move, string, fret
                and pitch), grips (tick; a and b, each null or shape, fingers and
                pitches) and plucks (tick; a and b, each null, ring or short)
";

const DRILL: &str = "\
Lines for the thumb to practise, side by side and bar by bar: the same that the
drill in the window plays one after the other, each different from the one before

usage: thumbwalk drill FILE [options]

  --lines N    how many, 1 to 24; 4 unless told otherwise
  --rung N     with the devices of this rung of the ladder; else as the tune is set
  --series N   which run of lines, 1 to 999; the same series has the same lines
";

const LADDER: &str = "\
The same tune on rising rungs, from roots alone to everything: each a project and
pages of its own, each harder than the one before, and all of them as a booklet
with tempi to tick off

usage: thumbwalk ladder FILE -o FOLDER

  -o FOLDER   where to write; it is made if it is not there

A rung that this tune makes no harder than the one below is left out, with a note.
";

const TRELLIS: &str = "\
The problem that was solved, so that another solver can solve it again

usage: thumbwalk trellis FILE [--json]

Wanted is one node per layer with the smallest sum of node and edge costs.

  --json   one object: format (\"thumbwalk-trellis-1\"), layers (the cost of every
           node), edges (for every pair of neighbouring layers: [from, to, cost]),
           path (the chosen node of every layer), sum, and max (the largest edge
           on the path). All costs are whole thousandths of an effort point
";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_that_can_be_switched_off_is_told() {
        for rule in crate::theory::Rule::ALL {
            assert!(text(Topic::Arrange).contains(rule.word()), "{rule:?}");
        }
    }

    #[test]
    fn every_format_is_told() {
        for format in crate::session::export::FORMATS {
            let ending = format!(".{}", format.ending);
            let mut words = text(Topic::Export).split_whitespace();
            assert!(
                words.any(|word| word.trim_matches(',') == ending),
                "{ending}"
            );
        }
    }

    #[test]
    fn every_known_tuning_is_told() {
        for tuning in crate::instrument::Tuning::known() {
            for topic in [Topic::Voicings, Topic::Arrange] {
                assert!(text(topic).contains(tuning.name()), "{}", tuning.name());
            }
        }
    }

    #[test]
    fn every_option_is_told_in_the_help_text_and_no_line_is_too_wide() {
        for topic in Topic::COMMANDS {
            let text = text(topic);
            for option in topic.options() {
                let hyphens = if option.len() == 1 { "-" } else { "--" };
                assert!(
                    text.contains(&format!("{hyphens}{option}")),
                    "{topic:?}: {option}"
                );
            }
            assert!(
                text.lines().all(|line| line.chars().count() <= 88),
                "{topic:?}"
            );
            let word = topic.word().expect("a command");
            assert!(topic.usage().contains(&format!("thumbwalk {word}")));
            assert!(
                MAIN.contains(&format!("\n  {word} ")),
                "{word} is in the main help"
            );
        }
    }
}
