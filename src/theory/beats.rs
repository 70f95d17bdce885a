//! Where the chords of a bar fall when nobody says so: sharing its beats, or dividing it into
//! places. Also beats as text. The chart reader and the chart writer both use these functions,
//! so that what one leaves out is what the other puts in. Never rounds: what falls between two
//! ticks is refused.

use super::meter::Meter;
use super::meter::TICKS_PER_BEAT;
use super::meter::Ticks;

/// The longest bar that can be written, in beats.
const MAX_BEATS: u32 = 64;

/// A number of beats: `2`, `1.5` or `7/3`; `None` if it is no number, longer than 64 beats or
/// falls between two ticks.
#[must_use]
pub fn amount(text: &str) -> Option<Ticks> {
    exact(text).filter(|ticks| ticks.0 <= MAX_BEATS * TICKS_PER_BEAT)
}

/// A place in a bar, whose beats are counted from 1: `1` is its beginning, `64.5` the middle of the
/// last beat of the longest. `None` if it lies before the bar, or as [`amount`].
#[must_use]
pub fn place(text: &str) -> Option<Ticks> {
    let ticks = exact(text)?.0.checked_sub(TICKS_PER_BEAT)?;
    (ticks < MAX_BEATS * TICKS_PER_BEAT).then_some(Ticks(ticks))
}

/// A number that falls on a tick, with the beat as its unit.
fn exact(text: &str) -> Option<Ticks> {
    let (above, below) = text.split_once('/').unwrap_or((text, "1"));
    let above = u64::from(thousandths(above)?) * u64::from(TICKS_PER_BEAT);
    let below = u64::from(thousandths(below)?);
    let fits = below > 0 && above.is_multiple_of(below);
    let ticks = u32::try_from(above.checked_div(below)?).ok()?;
    fits.then_some(Ticks(ticks))
}

/// A length as [`amount`] reads it.
#[must_use]
pub fn amount_text(length: Ticks) -> String {
    let beats = length.0 / TICKS_PER_BEAT;
    let rest = length.0 % TICKS_PER_BEAT * 1000;
    if rest.is_multiple_of(TICKS_PER_BEAT) {
        let decimals = format!("{beats}.{:03}", rest / TICKS_PER_BEAT);
        return decimals.trim_end_matches('0').trim_end_matches('.').into();
    }
    let common = common_divisor(length.0, TICKS_PER_BEAT);
    format!("{}/{}", length.0 / common, TICKS_PER_BEAT / common)
}

const fn common_divisor(mut a: u32, mut b: u32) -> u32 {
    while b > 0 {
        (a, b) = (b, a % b);
    }
    if a == 0 { 1 } else { a }
}

/// Where `count` chords fall that share a bar without saying how: whole beats if there are
/// enough, else parts of beats, the earlier chords taking what is left over. `None` if there are
/// more chords than parts.
#[must_use]
pub fn shared(count: usize, length: Ticks, meter: Meter) -> Option<Vec<Ticks>> {
    let count = u32::try_from(count).ok()?;
    if count <= 1 {
        return Some((0..count).map(|_| Ticks(0)).collect());
    }
    let part = [TICKS_PER_BEAT, TICKS_PER_BEAT / meter.divisions()]
        .into_iter()
        .find(|part| length.0.is_multiple_of(*part) && count <= length.0 / part)?;
    let parts = length.0 / part;
    let (each, extra) = (parts / count, parts % count);
    let start = |index: u32| Ticks(part * (index * each + index.min(extra)));
    Some((0..count).map(start).collect())
}

/// The length of one of `places` equal places of a bar; `None` if so many places do not fit the
/// beats.
#[must_use]
pub fn place_length(places: usize, length: Ticks) -> Option<Ticks> {
    let places = u32::try_from(places).ok().filter(|n| *n > 0)?;
    let whole = length.0.is_multiple_of(TICKS_PER_BEAT);
    let beats = length.0 / TICKS_PER_BEAT;
    let fits_beats = beats.is_multiple_of(places) || (beats > 0 && places.is_multiple_of(beats));
    let fits = length.0.is_multiple_of(places) && (!whole || fits_beats);
    fits.then(|| Ticks(length.0 / places))
}

/// A number with up to three decimals, as thousandths.
#[must_use]
pub fn thousandths(text: &str) -> Option<u32> {
    let (whole, decimals) = text.split_once('.').unwrap_or((text, "0"));
    let digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
    if !digits(whole) || !digits(decimals) || whole.len() > 5 || decimals.len() > 3 {
        return None;
    }
    let padded = format!("{decimals:0<3}");
    Some(whole.parse::<u32>().ok()? * 1000 + padded.parse::<u32>().ok()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_count_from_one_to_the_end_of_the_longest_bar() {
        for (text, ticks) in [
            ("1", 0),
            ("2.5", 1440),
            ("193/3", 60_800),
            ("64.75", 61_200),
        ] {
            assert_eq!(place(text), Some(Ticks(ticks)), "{text}");
        }
        for text in ["0", "0.5", "65", "1/7", "x", "99999"] {
            assert_eq!(place(text), None, "{text}");
        }
    }

    #[test]
    fn beats_are_read_and_written_exactly() {
        for (text, ticks) in [
            ("1", 960),
            ("1.5", 1440),
            ("0.5", 480),
            ("4.25", 4080),
            ("10", 9600),
            ("2/3", 640),
            ("7/3", 2240),
            ("1/960", 1),
        ] {
            assert_eq!(amount(text), Some(Ticks(ticks)), "{text}");
            assert_eq!(amount_text(Ticks(ticks)), text);
        }
        for text in [
            "",
            "x",
            "-1",
            "1/0",
            "1/7",
            "65",
            "1.",
            ".5",
            "1.2345",
            "99999999999",
        ] {
            assert_eq!(amount(text), None, "{text}");
        }
    }

    #[test]
    fn chords_share_a_bar_in_whole_beats_with_the_rest_in_front() {
        let four = Meter::COMMON;
        let parse = |text: &str| Meter::parse(text).expect("a metre");
        for (count, meter, halves) in [
            (1, four, &[0][..]),
            (2, four, &[0, 4]),
            (3, four, &[0, 4, 6]),
            (4, four, &[0, 2, 4, 6]),
            (5, four, &[0, 2, 4, 6, 7]),
            (8, four, &[0, 1, 2, 3, 4, 5, 6, 7]),
            (2, parse("3/4"), &[0, 4]),
            (2, parse("5/4"), &[0, 6]),
            (3, parse("5/4"), &[0, 4, 8]),
        ] {
            let places: Vec<Ticks> = halves.iter().map(|h| Ticks(h * 480)).collect();
            assert_eq!(
                shared(count, meter.bar(), meter),
                Some(places),
                "{count} in {meter}"
            );
        }
        let six = parse("6/8");
        assert_eq!(
            shared(3, six.bar(), six),
            Some(vec![Ticks(0), Ticks(640), Ticks(1280)])
        );
        assert_eq!(shared(9, four.bar(), four), None);
    }
}
