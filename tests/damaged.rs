//! Damaged files of every kind that can be opened are read or refused in words, never with a panic;
//! what is read is a sound document. A few thousand here; `tests/outside/mutations.rs` runs millions
//! by hand.

mod damaged_files;

use damaged_files::corpus;
use damaged_files::mutated;
use damaged_files::try_one;
use proptest::prelude::*;

#[test]
fn the_files_are_whole_before_they_are_damaged() {
    for (idx, original) in corpus().iter().enumerate() {
        let bytes = original.whole();
        assert!(try_one(original.kind, bytes), "{} {idx}", original.name);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(3000) })]

    #[test]
    fn damaged_files_are_read_or_refused_in_words(seed in any::<u64>(), idx in 0_usize..6) {
        let corpus = corpus();
        let bytes = mutated(&corpus, idx, seed);
        try_one(corpus[idx].kind, &bytes);
    }
}
