//! The files before they are damaged: small, and with as much as possible of what their kind can say.

/// A chart with nearly everything that one can say.
pub const CHART: &str = "Title: A\nKey: Bb\nMeter: 4/4\nTempo: 112\nFeel: swing 2:1\nPickup: 1\n\n[A]\n\
    | F7 |: Bbmaj7 G7(b9) | Cm7 F7@4.5 | % |\nTune: F4 | D5 _ C5 A4 | Bb4 _ | _ G4@2.5 |\n\
    |1. Cm7 | F7 :|2. F7 | <2> Bb6 ||\n[B]\n| ii V7 | N.C. | V7/ii |\nTune: - | Eb5 F#5 | C5\n";

/// A lead sheet as other programs write them.
pub const SCORE: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<score-partwise version=\"4.0\"><work><work-title>A &amp; B</work-title></work>\
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
pub const MIDI: &[u8] = b"MThd\0\0\0\x06\0\x01\0\x02\0\x60MTrk\0\0\0\x28\0\xFF\x03\x05A dog\0\xFF\x51\x03\x07\xA1\x20\
    \0\xFF\x58\x04\x03\x02\x18\x08\0\xFF\x59\x02\xFE\0\0\xFF\x06\x01A\x83\x00\xFF\x2F\0\
    MTrk\0\0\0\x20\0\x90\x3C\x40\x40\x3C\0\x20\x3E\x40\x20\x3E\0\0\x40\x50\x81\x40\x80\x40\0\0\x90\x45\x30\x60\x45\0\0\xFF\x2F\0";

/// Chord symbols with blanks between them.
pub const SYMBOLS: &str = "C Bb7 F#m7b5 Ebmaj7/G G13(b9,#11) Am(maj7) D7alt Bdim7 A♭Δ9 C#ø E-7 Gsus4 \
    F6/9 Dadd9 B7#5 Caug C5 Abm11 G7sus(b9) E7(no3) F°7 N.C. Bb/D D-Δ7 A7(#9,b13) C/Bb";

/// Command lines, a word a line. `-` is the chart on standard input; what is written lies in the
/// folder in which the program runs.
pub const COMMANDS: [(&str, &str); 10] = [
    ("chord", "chord\nBb13(#11)/F\n--json"),
    (
        "voicings",
        "voicings\nG7(b9)\n--bass\nroot\n--tuning\nD2 A2 D3 G3 B3 E4\n--capo\n2\n--top\n12\n--json",
    ),
    (
        "arrange",
        "arrange\n-\n-o\na.ron\n--walk\nmixed\n--seed\n7\n--riff\n--swing\n1.7\n--lay-back\n15\n\
         --approach\nabove\n--choruses\n2\n--capo\n1",
    ),
    (
        "export",
        "export\n-\n-o\na.pdf\n-o\na.mid\n-o\na.csv\n--purpose\nbeginner\n--paper\nletter\n--staff\non\n\
         --size\nlarge\n--bars\n3\n--table\npage\n--dpi\n72",
    ),
    ("events", "events\n-\n--json"),
    ("check", "check\n-\n--json"),
    ("drill", "drill\n-\n--lines\n3\n--rung\n2\n--series\n5"),
    (
        "keys",
        "keys\n-\n--capos\n0,2\n--range\nD3-E5\n--top\n3\n--json",
    ),
    ("import", "import\n-\n-o\nb.txt"),
    ("ladder", "ladder\n-\n-o\nrungs"),
];
