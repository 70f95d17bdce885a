//! Damaged files of every kind that can be opened are read or refused in words, never with a panic;
//! what is read is a sound document. A few thousand here; `tests/outside/mutations.rs` runs millions
//! by hand.

mod damaged_files;

use damaged_files::Kind;
use damaged_files::corpus;
use damaged_files::in_a_folder_of_its_own;
use damaged_files::mutated;
use damaged_files::try_one;
use proptest::prelude::*;
use proptest::test_runner::TestRunner;

#[test]
fn damaged_files_are_read_or_refused_in_words() {
    in_a_folder_of_its_own(|| {
        let corpus = corpus();
        for (idx, original) in corpus.iter().enumerate() {
            let whole = try_one(original.kind, original.whole());
            assert!(whole, "{} {idx}, before it is damaged", original.name);
        }
        let mut some = TestRunner::new(ProptestConfig {
            failure_persistence: None,
            ..ProptestConfig::with_cases(4000)
        });
        // Command lines do whole jobs; the rest are read in no time.
        let n_files = corpus.iter().filter(|o| o.kind != Kind::Words).count();
        let any_file = (any::<u64>(), 0..n_files);
        let any_words = (any::<u64>(), n_files..corpus.len());
        let one = prop_oneof![15 => any_file, 1 => any_words];
        let outcome = some.run(&one, |(seed, idx)| {
            try_one(corpus[idx].kind, &mutated(&corpus, idx, seed));
            Ok(())
        });
        outcome.unwrap_or_else(|error| panic!("{error}"));
    });
}
