//! Jobs.

use super::word::Spelling;
use super::{Reader, band};
use crate::content::{Key, Node};
use crate::diagnostic::Report;
use crate::procedure::draft::{JobDraft, Mark, Site, Target};
use crate::procedure::form::job::{CHECK, FIGURE, JOB};
use crate::procedure::model::{CardCheck, Figure, Job, JobId};

/// Reads a job from its file's tree; `slug` is the file's name without its ending.
pub fn job(path: &str, slug: &str, root: &Node, report: &mut Report) -> Option<JobDraft> {
    let mut reader = Reader::new(path, report);
    let map = reader.map(root, &JOB)?;
    reader.slug(&map, "job");
    let mut sentence = |key: &str| map.read(key, |node| reader.sentence(node)).unwrap_or_default();
    let (title, about, caution) = (sentence("title"), sentence("about"), sentence("caution"));
    let model = Job {
        id: JobId(slug.to_owned()),
        title,
        revision: reader.revision(&map),
        about,
        caution,
        card: map.read("card", |node| reader.card(node)),
        figures: map.read("figures", |node| reader.figures(node)),
        checks: map.read("checks", |node| reader.checks(node)),
        guards: map.read("guards", |node| reader.guards(node)),
        procedures: Vec::new(),
    };
    let order = map.read("procedures", |node| reader.order(node));
    Some(JobDraft {
        path: path.to_owned(),
        model,
        order,
        marks: reader.marks,
    })
}

impl Reader<'_> {
    /// The figures, by name. One that lacks something is kept, so that uses of it are still checked.
    fn figures(&mut self, node: &Node) -> Vec<Figure> {
        let mut figures = Vec::new();
        for (key, node) in self.entries(node, "figures by name").unwrap_or_default() {
            self.site = Site::Figure(figures.len());
            figures.extend(self.figure(key, node));
        }
        figures
    }

    fn figure(&mut self, key: &Key, node: &Node) -> Option<Figure> {
        let name = self.spelled(&key.text, key.spot, Spelling::Name)?;
        let map = self.map(node, &FIGURE)?;
        Some(Figure {
            name,
            label: map
                .get("label")
                .and_then(|node| self.text(node))
                .unwrap_or_default(),
            method: self.method(&map, key.spot),
            when: self.when(map.get("when")),
            place: key.spot.within(self.path),
        })
    }

    fn checks(&mut self, node: &Node) -> Vec<CardCheck> {
        let mut checks = Vec::new();
        for item in self.items(node, "checks") {
            self.site = Site::Check(checks.len());
            if let Some(check) = self.check(item) {
                checks.push(check);
            }
        }
        checks
    }

    fn check(&mut self, node: &Node) -> Option<CardCheck> {
        let map = self.map(node, &CHECK)?;
        let id = map.get("id").and_then(|node| self.id(node, Spelling::Slug));
        if let Some(id) = &id {
            self.mark(
                map.spot_of("id"),
                Mark::Named {
                    kind: "the check",
                    name: id.clone(),
                },
            );
        }
        let when = self.when(map.get("when"));
        let of = map.get("of").and_then(|node| self.reference(node))?;
        let band = self.band(&map, &Target::Value(of.clone()), None);
        let says = map.get("says").and_then(|node| self.text(node));
        let fits = map.get("fits").and_then(|node| self.text(node));
        let advice = map
            .get("advice")
            .and_then(|node| self.yes_no(node))
            .unwrap_or(false);
        let place = node.spot.within(self.path);
        // The check stays in its place among the others, so that each mark still finds its condition.
        let (id, says) = (id.unwrap_or_default(), says.unwrap_or_default());
        let band = band.unwrap_or_else(|| band::none(place.clone()));
        Some(CardCheck {
            id,
            of,
            band,
            says,
            fits,
            advice,
            when,
            place,
        })
    }
}
