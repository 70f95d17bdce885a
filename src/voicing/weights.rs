//! What everything costs, in thousandths of an effort point: one table for all weights of the
//! voicing search, each with its unit, its reason and where it comes from. Nothing else in this
//! layer holds a number that decides an order.
//!
//! The scale: one separate finger is one point. The one published rubric with tested weights
//! (Vélez Vásquez et al. 2023) lets the spread of a grip weigh 1.5 times as much as "a barre or
//! four fingers": a full barre and four fingers cost 4 points, and the pair of fingers with the
//! most room between comfort and limit (1-3, 32 mm) 6 at its limit. All other weights are our own,
//! set so that the everyday shapes of this style come first.

/// One finger in use.
pub const FINGER: i32 = 1_000;

/// Each square millimetre of excess over a pair's comfort (published ratio: 6 × 32² ≈ 6,000 =
/// 1.5 × four fingers). The excess of a smaller or larger hand is scaled to the adult default, so
/// that its own limit costs the same.
pub const STRETCH_PER_SQUARE_MM: i64 = 6;

/// An index finger lying across so many strings (index = strings). Two are easy, three cost about
/// what one more finger would, a full barre as much as four fingers (published: "barre or four
/// fingers" are one grade).
pub const INDEX_BARRE: [i32; 9] = [0, 0, 600, 1_400, 3_000, 3_600, 4_000, 4_400, 4_800];

/// Middle or ring finger lying across so many strings: the joint must bend back, which costs more
/// than a finger for each note (common practice: `3x332x` is held 2-3-4-1, not with a barre).
pub const MIDDLE_OR_RING_BARRE: [i32; 9] = [0, 0, 2_600, 3_400, 0, 0, 0, 0, 0];

/// The little finger lying across two strings.
pub const LITTLE_BARRE: [i32; 9] = [0, 0, 3_600, 0, 0, 0, 0, 0, 0];

/// The little finger in use: it is the weakest.
pub const LITTLE_FINGER: i32 = 300;

/// Each string by which the little finger lies further over the board (lower-pitched) than the
/// lowest finger in use: the shortest finger reaches furthest.
pub const LITTLE_REACHES_OVER: i32 = 300;

/// Two fingers the other way round on one fret: a turned wrist.
pub const TWIST: i32 = 1_200;

/// Each open string of a grip: it rings on and the right hand must stop it. About four separate
/// fingers (tried: without it open-string shapes crowd out the closed ones of this style).
pub const OPEN_STRING: i32 = 4_000;

/// The lowest held fret is the first or second from the nut: strings are stiff beside the nut.
/// Index = real fret.
pub const LOW_FRET: [i32; 3] = [0, 500, 200];

/// Each fret above the seventh that the lowest held finger lies at: basses get dull and short.
pub const HIGH_HOME: i32 = 350;

/// Each fret beyond the body joint that the highest finger lies at.
pub const PAST_JOINT: i32 = 700;

/// The body joint: fret 12 on nylon-string guitars, 14 on steel-string ones (common practice).
pub const JOINT_NYLON: u8 = 12;
/// See [`JOINT_NYLON`].
pub const JOINT_STEEL: u8 = 14;

/// The root does not sound.
pub const NO_ROOT: i32 = 2_000;
/// A perfect fifth does not sound: the first to go (common practice).
pub const NO_FIFTH: i32 = 1_500;
/// A perfect fifth of a sixth chord does not sound: what is left is another triad's inversion.
pub const NO_FIFTH_OF_SIXTH: i32 = 2_500;
/// Another tone that may go does not sound, such as the ninth of a thirteenth chord.
pub const NO_OTHER: i32 = 700;

/// A minor ninth between two notes other than root and flat ninth (common practice: avoid).
pub const MINOR_NINTH: i32 = 5_000;
/// The same an octave wider.
pub const WIDE_MINOR_NINTH: i32 = 2_500;
/// The top note a semitone above another note: the tune is hard to hear (common practice).
pub const SEMITONE_UNDER_TOP: i32 = 1_000;
/// Each semitone by which the lower note of an interval lies under its low-interval limit.
pub const TOO_LOW: i32 = 500;

/// Low-interval limits: for the interval of so many semitones (index), the lowest MIDI number its
/// lower note should have (from memory, arranging texts: m2 E3, M2 E♭3, m3 C3, M3 B♭2, P4 B♭2,
/// tritone B2, P5 B♭1, sixths and sevenths F2). Octaves and wider have none.
pub const LOWEST: [u8; 12] = [0, 52, 51, 48, 46, 46, 47, 34, 41, 41, 41, 41];

/// Each semitone by which the gap between bass and next note exceeds [`WIDE_GAP`].
pub const GAP: i32 = 250;
/// A gap of this many semitones is still no hole: a major tenth.
pub const WIDE_GAP: u8 = 16;
/// Each semitone by which the gap between bass and next note falls short of [`NARROW_GAP`].
pub const CROWD: i32 = 300;
/// A gap of this many semitones keeps bass and chord apart: a perfect fourth.
pub const NARROW_GAP: u8 = 5;
/// Each semitone by which the notes above the bass spread wider than [`CHORD_SPAN`].
pub const FALLS_APART: i32 = 200;
/// Notes above the bass within this many semitones sound as one chord: an octave, as they do in
/// close, drop-2 and drop-3 voicings.
pub const CHORD_SPAN: u8 = 12;
/// Root or perfect fifth doubled.
pub const DOUBLED_PLAIN: i32 = 600;
/// Any other tone doubled.
pub const DOUBLED_COLOUR: i32 = 1_600;
/// Two strings sounding the same pitch, on top of the doubling.
pub const UNISON: i32 = 600;
/// Each semitone of a bass note above [`HIGH_BASS_FROM`].
pub const HIGH_BASS: i32 = 350;
/// The thumb's best range ends at this MIDI number: C3. A bass line on the guitar lies between E2
/// and about G3 (common practice), and its upper fourth is for passing through.
pub const HIGH_BASS_FROM: u8 = 48;
