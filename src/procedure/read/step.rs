//! Steps.

use super::word::Spelling;
use super::{Map, Reader};
use crate::content::Node;
use crate::procedure::draft::{Mark, Site};
use crate::procedure::form::step::{ANSWER, POINT, QUESTION, RELEASES, STEP};
use crate::procedure::model::{
    Answer, Condition, HazardId, Picture, Point, ProcedureId, Question, Step, StepId, StepRef, Text, ToolId,
};

/// The word for every step so far.
const SO_FAR: &str = "everything-so-far";

impl Reader<'_> {
    /// The steps of a procedure. A step that lacks something is kept with gaps, so that what refers to it
    /// is still checked; the faults already keep it from being played.
    pub(super) fn steps(&mut self, node: &Node, procedure: &ProcedureId) -> Vec<Step> {
        let mut steps: Vec<Step> = Vec::new();
        for (index, item) in self.items(node, "steps").iter().enumerate() {
            self.site = Site::Step(index);
            let so_far: Vec<StepRef> = steps.iter().map(|step| step_ref(procedure, &step.id)).collect();
            let step = self.step(item, procedure, so_far);
            steps.push(step);
        }
        if steps.is_empty() {
            let fault = self.found(node.spot, "missing-key", "no steps", "at least one step");
            self.report.push(fault);
        }
        steps
    }

    fn step(&mut self, node: &Node, procedure: &ProcedureId, mut so_far: Vec<StepRef>) -> Step {
        let Some(map) = self.map(node, &STEP) else {
            return gap(node.spot.within(self.path));
        };
        let id = StepId(
            map.get("id")
                .and_then(|node| self.step_id(node))
                .unwrap_or_default(),
        );
        so_far.push(step_ref(procedure, &id));
        let picture = map.get("picture").and_then(|node| self.picture(node));
        Step {
            when: self.when(map.get("when")),
            hazards: self.hazards_of(&map),
            command: self.command(&map),
            why: self.text_at(&map, "why"),
            right: self.text_at(&map, "right"),
            wrong: self.text_at(&map, "wrong"),
            tools: self.tools_of(&map),
            callouts: self.callouts(&map, picture.as_ref()),
            picture,
            read: self.readings(map.get("read")),
            work_out: self.work_outs(map.get("work_out")),
            acts: self.acts(&map),
            temporary: self.state(&map, "temporary", Mark::Temporary),
            restores: self.state(&map, "restores", Mark::Restores),
            reopens: self.step_refs(map.get("reopens"), Mark::Reopens),
            hold: map.get("hold").and_then(|node| self.point(node, &so_far)),
            witness: map.get("witness").and_then(|node| self.point(node, &so_far)),
            question: map.get("question").and_then(|node| self.question(node)),
            place: node.spot.within(self.path),
            id,
        }
    }

    fn step_id(&mut self, node: &Node) -> Option<String> {
        let id = self.id(node, Spelling::Slug)?;
        self.mark(
            node.spot,
            Mark::Named {
                kind: "the step",
                name: id.clone(),
            },
        );
        Some(id)
    }

    fn text_at(&mut self, map: &Map, key: &str) -> Text {
        map.get(key).and_then(|node| self.text(node)).unwrap_or_default()
    }

    fn command(&mut self, map: &Map) -> Text {
        let Some(node) = map.get("do") else {
            return Text::default();
        };
        let command = self.text(node).unwrap_or_default();
        self.mark(node.spot, Mark::Command(command.to_string()));
        command
    }

    /// The hazards of a step or of what stands before the steps.
    pub(super) fn hazards_of(&mut self, map: &Map) -> Vec<HazardId> {
        self.ids(map.get("hazards"), Mark::Hazard)
            .into_iter()
            .map(HazardId)
            .collect()
    }

    /// The tools of a step or of what stands before the steps.
    pub(super) fn tools_of(&mut self, map: &Map) -> Vec<ToolId> {
        self.tool_ids(map.get("tools"))
    }

    pub(super) fn tool_ids(&mut self, node: Option<&Node>) -> Vec<ToolId> {
        self.ids(node, Mark::Tool).into_iter().map(ToolId).collect()
    }

    fn ids(&mut self, node: Option<&Node>, mark: fn(String) -> Mark) -> Vec<String> {
        let items = node.map(|node| self.items(node, "ids")).unwrap_or_default();
        let mut ids = Vec::new();
        for item in items {
            if let Some(id) = self.id(item, Spelling::Slug) {
                self.mark(item.spot, mark(id.clone()));
                ids.push(id);
            }
        }
        ids
    }

    /// The words of the numbers in the picture; how many there are is held against the picture.
    fn callouts(&mut self, map: &Map, picture: Option<&Picture>) -> Vec<Text> {
        let words = map.read("callouts", |node| self.texts(node));
        if let Some(picture) = picture {
            let mark = Mark::Callouts {
                picture: picture.clone(),
                count: words.len(),
            };
            let key = if words.is_empty() { "picture" } else { "callouts" };
            self.mark(map.spot_of(key), mark);
        } else if let Some(node) = map.get("callouts")
            && !map.has("picture")
        {
            let found = "callouts without a picture";
            let fault = self.found(node.spot, "callouts-match", found, "a picture before them");
            self.report.push(fault);
        }
        words
    }

    fn acts(&mut self, map: &Map) -> Vec<String> {
        self.ids(map.get("acts"), Mark::Act)
    }

    fn state(&mut self, map: &Map, key: &str, mark: fn(String) -> Mark) -> Option<String> {
        let node = map.get(key)?;
        let name = self.id(node, Spelling::Slug)?;
        self.mark(node.spot, mark(name.clone()));
        Some(name)
    }

    fn step_refs(&mut self, node: Option<&Node>, mark: fn(StepRef) -> Mark) -> Vec<StepRef> {
        let items = node.map(|node| self.items(node, "steps")).unwrap_or_default();
        let mut steps = Vec::new();
        for item in items {
            if let Some(step) = self.step_ref(item) {
                self.mark(item.spot, mark(step.clone()));
                steps.push(step);
            }
        }
        steps
    }

    /// A point that lacks something is kept, since guards ask whether it is there.
    fn point(&mut self, node: &Node, so_far: &[StepRef]) -> Option<Point> {
        let map = self.map(node, &POINT)?;
        let by = map
            .get("by")
            .and_then(|node| self.one_of(node, "who releases it", &RELEASES));
        let covers = map
            .get("covers")
            .map(|node| self.covers(node, so_far))
            .unwrap_or_default();
        let says = map.get("says").and_then(|node| self.text(node));
        Some(Point {
            by: by.unwrap_or_default().to_owned(),
            covers,
            says: says.unwrap_or_default(),
            place: node.spot.within(self.path),
        })
    }

    fn covers(&mut self, node: &Node, so_far: &[StepRef]) -> Vec<StepRef> {
        match node.scalar() {
            Some(SO_FAR) => so_far.to_vec(),
            Some(_) => {
                let expected = format!("a list of steps or `{SO_FAR}`");
                let fault = self.found(node.spot, "wrong-type", node.described(), &expected);
                self.report.push(fault);
                Vec::new()
            }
            None => {
                let covered = self.step_refs(Some(node), Mark::Covers);
                if covered.is_empty() {
                    let found = self.found(node.spot, "wrong-type", node.described(), "at least one step");
                    self.report.push(found);
                }
                covered
            }
        }
    }

    fn question(&mut self, node: &Node) -> Option<Question> {
        let map = self.map(node, &QUESTION)?;
        let ask = map.get("ask").and_then(|node| self.sentence(node));
        let list = map
            .get("answers")
            .map(|node| (node.spot, self.items(node, "answers")));
        let (at, items) = list?;
        let answers: Vec<Answer> = items
            .iter()
            .filter_map(|item| self.answer_offered(item))
            .collect();
        if answers.len() == items.len() {
            let right = answers.iter().filter(|answer| answer.right).count();
            self.mark(
                at,
                Mark::Question {
                    right,
                    answers: answers.len(),
                },
            );
        }
        Some(Question { ask: ask?, answers })
    }

    fn answer_offered(&mut self, node: &Node) -> Option<Answer> {
        let map = self.map(node, &ANSWER)?;
        let says = map.get("says").and_then(|node| self.sentence(node));
        let right = map.get("right").and_then(|node| self.yes_no(node));
        let because = map.get("because").and_then(|node| self.sentence(node));
        Some(Answer {
            says: says?,
            right: right?,
            because: because?,
        })
    }
}

fn step_ref(procedure: &ProcedureId, step: &StepId) -> StepRef {
    StepRef {
        procedure: procedure.clone(),
        step: step.clone(),
    }
}

/// What stands for a step that is no map.
fn gap(place: crate::diagnostic::Place) -> Step {
    Step {
        id: StepId(String::new()),
        when: Condition::Always,
        hazards: Vec::new(),
        command: Text::default(),
        why: Text::default(),
        right: Text::default(),
        wrong: Text::default(),
        tools: Vec::new(),
        picture: None,
        callouts: Vec::new(),
        read: Vec::new(),
        work_out: Vec::new(),
        acts: Vec::new(),
        temporary: None,
        restores: None,
        reopens: Vec::new(),
        hold: None,
        witness: None,
        question: None,
        place,
    }
}
