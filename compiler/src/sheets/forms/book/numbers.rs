//! Points and sources by number: a row names its points by a few digits, and the file stays small. What lies on no
//! path has no number.

use super::super::super::sheet::Pack;
use rustc_hash::FxHashMap;
use serde::Serialize;

pub(super) struct Numbers<'p> {
    points: FxHashMap<&'p str, usize>,
    sources: FxHashMap<&'p str, usize>,
    /// By number: the name and how people call it.
    named: Vec<(&'p str, &'p str)>,
}

/// What the script reads.
#[derive(Serialize)]
struct Data<'p> {
    mark: &'p str,
    acts: &'p [(String, String)],
    sources: &'p [(&'p str, &'p str)],
    paths: Vec<Path<'p>>,
}

#[derive(Serialize)]
struct Path<'p> {
    source: usize,
    #[serde(skip_serializing_if = "Option::is_none")]
    act: Option<&'p str>,
    points: Vec<usize>,
    said: &'p [String],
}

impl<'p> Numbers<'p> {
    pub fn of(pack: &'p Pack) -> Self {
        let mut numbers = Numbers { points: FxHashMap::default(), sources: FxHashMap::default(), named: Vec::new() };
        for path in &pack.paths {
            let next = numbers.named.len();
            if *numbers.sources.entry(&path.source).or_insert(next) == next {
                numbers.named.push((&path.source, &path.label));
            }
            for point in &path.points {
                let next = numbers.points.len();
                numbers.points.entry(point).or_insert(next);
            }
        }
        numbers
    }

    pub fn source(&self, name: &str) -> Option<usize> {
        self.sources.get(name).copied()
    }

    pub fn label(&self, source: usize) -> Option<&'p str> {
        self.named.get(source).map(|(_, label)| *label)
    }

    /// `3 17`; nothing where none of them is on a path.
    pub fn points<'a>(&self, names: impl IntoIterator<Item = &'a str>) -> Option<String> {
        let numbers: Vec<String> =
            names.into_iter().filter_map(|name| self.points.get(name)).map(usize::to_string).collect();
        (!numbers.is_empty()).then(|| numbers.join(" "))
    }

    /// As a script element holds it: no text in it ends the element.
    pub fn json(&self, pack: &Pack) -> String {
        let paths = pack.paths.iter().filter_map(|path| {
            Some(Path {
                source: self.source(&path.source)?,
                act: path.act.as_deref(),
                points: path.points.iter().filter_map(|point| self.points.get(point.as_str()).copied()).collect(),
                said: &path.said,
            })
        });
        let data = Data { mark: &pack.mark, acts: &pack.acts, sources: &self.named, paths: paths.collect() };
        // Plain data always has a form as JSON.
        serde_json::to_string(&data).unwrap_or_default().replace('<', "\\u003c")
    }
}
