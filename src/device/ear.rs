//! What the listener hears now, as against what has been rendered: a sound card asks for sound in
//! gulps and plays it later. Turns the play-head's jumps into an even movement that agrees with
//! the ear. Sees time only as it is told.

use crate::sound::Playhead;
use std::time::Duration;

/// Follows one output.
#[derive(Clone, Copy, Debug)]
pub struct Ear {
    sample_rate: f64,
    gulp: u64,
    head: Option<Playhead>,
    at: Duration,
    heard: f64,
}

impl Ear {
    /// An output that takes `gulp` frames at a time and holds two such gulps (double buffering,
    /// as the usual drivers do); 0 if it takes sound as it needs it.
    pub fn new(sample_rate: u32, gulp: u32) -> Self {
        Self {
            sample_rate: f64::from(sample_rate),
            gulp: u64::from(gulp),
            head: None,
            at: Duration::ZERO,
            heard: 0.0,
        }
    }

    /// The frame that is heard at the time `now` (from any fixed moment), given what the renderer
    /// reports. It moves with the time, one to two gulps behind what is rendered, and never goes
    /// back while the music goes on.
    pub fn heard(&mut self, head: Playhead, now: Duration) -> u64 {
        let gone = now.saturating_sub(self.at).as_secs_f64() * self.sample_rate;
        let low = head.frame.saturating_sub(2 * self.gulp);
        let high = head.frame.saturating_sub(self.gulp);
        let goes_on = (self.head).is_some_and(|before| {
            before.running && before.began == head.began && before.frame <= head.frame
        });
        self.heard = if goes_on { self.heard + gone } else { 0.0 };
        self.heard = self.heard.clamp(low as f64, high as f64);
        self.at = now;
        self.head = Some(head);
        if head.running {
            (self.heard as u64).max(head.began)
        } else {
            head.frame
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Ear;
    use crate::sound::Playhead;
    use std::time::Duration;

    #[test]
    fn the_head_moves_evenly_between_gulps_and_two_gulps_behind() {
        let mut ear = Ear::new(1000, 40);
        let mut heard = |frame, ms| {
            let head = Playhead {
                frame,
                began: 100,
                running: true,
                count_left: 0,
                passes: 0,
                taken: 0,
            };
            ear.heard(head, Duration::from_millis(ms))
        };
        // What has been rendered, the time in milliseconds, what is heard. A look in the middle
        // of a gulp (190) changes nothing; being late with one (220 at 170 ms) holds it up; the
        // start of a loop sets it back.
        for (frame, ms, expected) in [
            (140, 0, 100),
            (180, 40, 100),
            (180, 50, 110),
            (190, 51, 111),
            (220, 80, 140),
            (220, 100, 160),
            (220, 170, 180),
            (260, 171, 181),
            (260, 200, 210),
            (100, 210, 100),
        ] {
            assert_eq!(heard(frame, ms), expected, "at {ms} ms");
        }
    }

    #[test]
    fn an_output_without_gulps_is_heard_as_it_is_rendered() {
        let mut ear = Ear::new(48_000, 0);
        let head = Playhead {
            frame: 5000,
            began: 0,
            running: true,
            count_left: 0,
            passes: 0,
            taken: 0,
        };
        assert_eq!(ear.heard(head, Duration::from_secs(3)), 5000);
        assert_eq!(ear.heard(head, Duration::from_secs(4)), 5000);
    }
}
