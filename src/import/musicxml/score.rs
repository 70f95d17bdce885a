//! A whole MusicXML file, partwise or timewise, as parts of bars and what stands above them. Reads
//! bar by bar, so that a long score takes no more memory than its notes.

use super::element::Element;
use super::element::Source;
use super::element::Step;
use super::measure::Part;
use crate::document::MAX_BARS;
use crate::document::TUNE_OCTAVES;
use crate::import::score_file::ImportError;
use crate::import::score_file::one_line;

/// Parts that are read; an orchestra has about forty.
const MAX_PARTS: usize = 200;

/// A file as it was read.
#[derive(Debug, Default)]
pub(super) struct Score {
    pub(super) title: String,
    pub(super) credits: String,
    pub(super) lesson_text: String,
    pub(super) rights: Vec<String>,
    /// Which voices hold what, if the file is one of ours.
    pub(super) lanes: Option<Lanes>,
    pub(super) parts: Vec<NamedPart>,
}

/// What our own files say about their voices (see `export::musicxml`).
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Lanes {
    /// The voice of the tune, if there is one.
    pub(super) tune: Option<String>,
    /// How many octaves the tune is written above the chart's.
    pub(super) octaves: i8,
}

impl Lanes {
    fn read(voices: &str, octaves: &str) -> Self {
        let mut pairs = voices
            .split(',')
            .filter_map(|pair| pair.trim().split_once(' '));
        let octaves = octaves.trim().parse().ok();
        Self {
            tune: pairs
                .find(|(lane, _)| *lane == "tune")
                .map(|(_, voice)| voice.trim().into()),
            octaves: octaves.filter(|n| TUNE_OCTAVES.contains(n)).unwrap_or(0),
        }
    }
}

/// A part with its name.
#[derive(Debug)]
pub(super) struct NamedPart {
    id: String,
    pub(super) name: String,
    pub(super) part: Part,
}

/// Reads a score.
///
/// # Errors
/// If it is no well-formed MusicXML score, or larger than the program takes.
pub(super) fn read(text: &str) -> Result<Score, ImportError> {
    let mut source = Source::new(text);
    let mut score = Score::default();
    let Step::Opened(root) = source.step()? else {
        return Err(ImportError::whole("there is nothing in this file"));
    };
    match root.name() {
        "score-partwise" | "score-timewise" => {}
        "opus" => {
            return Err(ImportError::whole(
                "this file only lists other files; import one of those",
            ));
        }
        name => {
            let name: String = name.chars().take(40).collect();
            return Err(ImportError::whole(format!(
                "this is no MusicXML score: it holds “{name}”; export it as MusicXML and import that"
            )));
        }
    }
    while let Step::Opened(element) = source.step()? {
        match element.name() {
            "part" => score.part(&mut source, &element)?,
            "measure" => score.measure_of_all(&mut source, &element)?,
            "work" | "movement-title" | "identification" | "part-list" => {
                let element = source.inside(element)?;
                score.about(&element);
            }
            _ => source.skip()?,
        }
    }
    if score
        .parts
        .iter()
        .all(|named| named.part.measures.is_empty())
    {
        return Err(ImportError::whole("there are no bars in this score"));
    }
    for named in &mut score.parts {
        if named.name.is_empty() {
            named.name = format!("part {}", one_line(&named.id));
        }
    }
    Ok(score)
}

impl Score {
    fn about(&mut self, element: &Element) {
        match element.name() {
            "work" if self.title.is_empty() => {
                self.title = one_line(element.text_of("work-title"));
            }
            "movement-title" if self.title.is_empty() => self.title = one_line(element.text()),
            "identification" => self.identification(element),
            "part-list" => {
                for part in element.all("score-part") {
                    let id = part.attribute("id").unwrap_or_default();
                    let idx = self.part_idx(id);
                    if let Some(named) = idx.and_then(|idx| self.parts.get_mut(idx)) {
                        named.name = one_line(part.text_of("part-name"));
                    }
                }
            }
            _ => {}
        }
    }

    fn identification(&mut self, element: &Element) {
        let of = |kind: &str| -> Vec<String> {
            let own = element.all("creator").filter(|creator| {
                let is = creator.attribute("type").unwrap_or("composer");
                is.eq_ignore_ascii_case(kind)
            });
            let names = own.map(|creator| one_line(creator.text()));
            names.filter(|name| !name.is_empty()).collect()
        };
        let mut credits = of("composer");
        credits.extend(of("lyricist").iter().map(|name| format!("words: {name}")));
        let alone = credits.is_empty();
        let arranged = |name: &String| match alone {
            true => name.clone(),
            false => format!("arr. {name}"),
        };
        credits.extend(of("arranger").iter().map(arranged));
        self.credits = credits.join(", ");
        let rights = element.all("rights").map(|rights| one_line(rights.text()));
        self.rights = rights.filter(|text| !text.is_empty()).take(5).collect();
        let field = |name: &str| {
            let fields = element.all("miscellaneous");
            let mut fields = fields.flat_map(|all| all.all("miscellaneous-field"));
            let named = fields.find(|field| field.attribute("name") == Some(name));
            named.map(Element::text)
        };
        self.lesson_text = field("lesson-text").unwrap_or_default().into();
        let octaves = field("tune-octaves").unwrap_or_default();
        self.lanes = field("lane-voices").map(|voices| Lanes::read(voices, octaves));
    }

    /// The place of the part with an id, which may be new; `None` if there are too many.
    fn part_idx(&mut self, id: &str) -> Option<usize> {
        if let Some(known) = self.parts.iter().position(|named| named.id == id) {
            return Some(known);
        }
        if self.parts.len() >= MAX_PARTS {
            return None;
        }
        self.parts.push(NamedPart {
            id: id.into(),
            name: String::new(),
            part: Part::default(),
        });
        Some(self.parts.len() - 1)
    }

    fn part_mut(
        &mut self,
        source: &Source<'_>,
        element: &Element,
    ) -> Result<&mut Part, ImportError> {
        let idx = self.part_idx(element.attribute("id").unwrap_or_default());
        let part = idx.and_then(|idx| self.parts.get_mut(idx));
        let part = part.map(|named| &mut named.part);
        let part = part.ok_or_else(|| {
            source.error(format!(
                "there are more than {MAX_PARTS} parts; export fewer of them"
            ))
        })?;
        if part.measures.len() >= MAX_BARS {
            return Err(source.error(format!(
                "a tune can have at most {MAX_BARS} bars; export a part of it"
            )));
        }
        Ok(part)
    }

    /// A part with its bars.
    fn part(&mut self, source: &mut Source<'_>, element: &Element) -> Result<(), ImportError> {
        while let Step::Opened(inner) = source.step()? {
            if inner.name() != "measure" {
                source.skip()?;
                continue;
            }
            let measure = source.inside(inner)?;
            self.part_mut(source, element)?.take(&measure, &measure);
        }
        Ok(())
    }

    /// A bar with what every part plays in it.
    fn measure_of_all(
        &mut self,
        source: &mut Source<'_>,
        measure: &Element,
    ) -> Result<(), ImportError> {
        while let Step::Opened(inner) = source.step()? {
            if inner.name() != "part" {
                source.skip()?;
                continue;
            }
            let content = source.inside(inner)?;
            self.part_mut(source, &content)?.take(measure, &content);
        }
        Ok(())
    }
}
