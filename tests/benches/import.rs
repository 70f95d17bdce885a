//! How long the import of a long lead sheet takes: 200 bars of MusicXML with a chord and eight notes
//! each, from bytes to a document. The aim is 200 ms.

use criterion::Criterion;
use criterion::criterion_group;
use criterion::criterion_main;
use std::fmt::Write as _;
use std::hint::black_box;
use thumbwalk::import::Choice;
use thumbwalk::import::musicxml;

const STEPS: [&str; 7] = ["C", "D", "E", "F", "G", "A", "B"];

fn score(bars: usize) -> String {
    let mut text = String::from(
        "<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\"><part-name>Voice</part-name>\
        </score-part></part-list><part id=\"P1\">",
    );
    for bar in 0..bars {
        let step = |i: usize| STEPS[(bar + i) % 7];
        let _ = write!(text, "<measure number=\"{}\">", bar + 1);
        if bar == 0 {
            text.push_str(
                "<attributes><divisions>2</divisions><key><fifths>0</fifths></key>\
                <time><beats>4</beats><beat-type>4</beat-type></time></attributes>",
            );
        }
        let _ = write!(
            text,
            "<harmony><root><root-step>{}</root-step></root><kind text=\"m7\">minor-seventh</kind></harmony>",
            step(0)
        );
        for note in 0..8 {
            let _ = write!(
                text,
                "<note><pitch><step>{}</step><octave>5</octave></pitch><duration>1</duration>\
                <voice>1</voice><type>eighth</type><stem>down</stem></note>",
                step(note)
            );
        }
        text.push_str("</measure>");
    }
    text + "</part></score-partwise>"
}

fn import(c: &mut Criterion) {
    let bytes = score(200).into_bytes();
    c.bench_function("200 bars of MusicXML imported", |b| {
        b.iter(|| musicxml::read(black_box(&bytes), Choice::default()));
    });
}

criterion_group!(benches, import);
criterion_main!(benches);
