//! The snapshot with its references turned into indices: what every step walks on.

use std::collections::BTreeMap;
use std::ops::Range;

use catalogue::{
    Candidate, Companion, Feature, FitStatement, KitLine, Part, PartKey, Position, SetPosition, Snapshot,
    Supersession, SupersessionNeed, UnitKey,
};

/// A part by its place in the snapshot.
pub(crate) type PartIx = usize;

/// The candidates of one position by part.
type Listed<'a> = Vec<(PartIx, &'a Candidate)>;

/// Rows of the snapshot by what they belong to. Parts are known by their index in `snapshot.parts`, which is sorted by key.
#[derive(Debug)]
pub(crate) struct Graph<'a> {
    /// The rows.
    pub(crate) snapshot: &'a Snapshot,
    candidates: BTreeMap<&'a str, BTreeMap<&'a str, Listed<'a>>>,
    positions: BTreeMap<&'a UnitKey, Vec<&'a Position>>,
    features: Vec<Range<usize>>,
    kit_lines: Vec<Vec<(PartIx, &'a KitLine)>>,
    companions: Vec<Vec<(PartIx, &'a Companion)>>,
    notices_from: Vec<Vec<Notice<'a>>>,
    notices_to: Vec<Vec<Notice<'a>>>,
    needs: BTreeMap<&'a str, Vec<&'a SupersessionNeed>>,
    set_positions: BTreeMap<&'a str, BTreeMap<PartIx, Vec<&'a SetPosition>>>,
    statements: BTreeMap<(PartIx, PartIx), Vec<&'a FitStatement>>,
}

/// One row of a notice with its parts.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Notice<'a> {
    /// Index of the row in the snapshot.
    pub(crate) row: usize,
    /// The row.
    pub(crate) notice: &'a Supersession,
    /// The old number.
    pub(crate) old: PartIx,
    /// The new number.
    pub(crate) new: PartIx,
}

impl<'a> Graph<'a> {
    /// Indexes a snapshot whose lists are sorted by key. Rows that refer to parts outside it are left out.
    pub(crate) fn new(snapshot: &'a Snapshot) -> Self {
        let parts = &snapshot.parts;
        let find = |key: &PartKey| parts.binary_search_by(|part| part.part.cmp(key)).ok();
        let mut graph = Self {
            snapshot,
            candidates: BTreeMap::new(),
            positions: BTreeMap::new(),
            features: vec![0..0; parts.len()],
            kit_lines: vec![Vec::new(); parts.len()],
            companions: vec![Vec::new(); parts.len()],
            notices_from: vec![Vec::new(); parts.len()],
            notices_to: vec![Vec::new(); parts.len()],
            needs: BTreeMap::new(),
            set_positions: BTreeMap::new(),
            statements: BTreeMap::new(),
        };
        graph.index_units(&find);
        graph.index_parts(&find);
        graph
    }

    fn index_units(&mut self, find: &impl Fn(&PartKey) -> Option<PartIx>) {
        for position in &self.snapshot.positions {
            self.positions.entry(&position.unit).or_default().push(position);
        }
        for positions in self.positions.values_mut() {
            positions.sort_by(|a, b| (a.assembly_order, &a.position).cmp(&(b.assembly_order, &b.position)));
        }
        for candidate in &self.snapshot.candidates {
            if let Some(part) = find(&candidate.part) {
                let of_unit = self.candidates.entry(candidate.unit.as_str()).or_default();
                of_unit.entry(candidate.position.as_str()).or_default().push((part, candidate));
            }
        }
        for set in &self.snapshot.set_positions {
            if let Some(part) = find(&set.part) {
                self.set_positions.entry(set.unit.as_str()).or_default().entry(part).or_default().push(set);
            }
        }
        for need in &self.snapshot.supersession_needs {
            self.needs.entry(need.notice.as_str()).or_default().push(need);
        }
    }

    fn index_parts(&mut self, find: &impl Fn(&PartKey) -> Option<PartIx>) {
        let features = &self.snapshot.features;
        let mut start = 0;
        while start < features.len() {
            let len = features[start..].iter().take_while(|f| f.part == features[start].part).count();
            if let Some(part) = find(&features[start].part) {
                self.features[part] = start..start + len;
            }
            start += len;
        }
        for line in &self.snapshot.kit_lines {
            if let (Some(kit), Some(part)) = (find(&line.kit), find(&line.part)) {
                self.kit_lines[kit].push((part, line));
            }
        }
        for companion in &self.snapshot.companions {
            if let (Some(part), Some(other)) = (find(&companion.part), find(&companion.companion)) {
                self.companions[part].push((other, companion));
            }
        }
        for (row, notice) in self.snapshot.supersessions.iter().enumerate() {
            if let (Some(old), Some(new)) = (find(&notice.old), find(&notice.new)) {
                self.notices_from[old].push(Notice { row, notice, old, new });
                self.notices_to[new].push(Notice { row, notice, old, new });
            }
        }
        for statement in &self.snapshot.fit_statements {
            if let (Some(a), Some(b)) = (find(&statement.part_a), find(&statement.part_b)) {
                self.statements.entry((a.min(b), a.max(b))).or_default().push(statement);
            }
        }
    }

    /// The index of a part that the snapshot holds.
    pub(crate) fn find(&self, key: &PartKey) -> Option<PartIx> {
        self.snapshot.parts.binary_search_by(|part| part.part.cmp(key)).ok()
    }

    /// The part at an index.
    pub(crate) fn part(&self, part: PartIx) -> &'a Part {
        &self.snapshot.parts[part]
    }

    /// Positions of a unit in the order of assembly.
    pub(crate) fn positions(&self, unit: &UnitKey) -> &[&'a Position] {
        self.positions.get(unit).map_or(&[], Vec::as_slice)
    }

    /// Candidates of a position by part.
    pub(crate) fn candidates(&self, unit: &UnitKey, position: &str) -> &[(PartIx, &'a Candidate)] {
        self.candidates
            .get(unit.as_str())
            .and_then(|of_unit| of_unit.get(position))
            .map_or(&[], Vec::as_slice)
    }

    /// A part's feature of that name.
    pub(crate) fn feature(&self, part: PartIx, name: &str) -> Option<&'a Feature> {
        self.snapshot.features[self.features[part].clone()]
            .iter()
            .find(|feature| feature.feature.as_str() == name)
    }

    /// The faces of a part.
    pub(crate) fn features(&self, part: PartIx) -> &'a [Feature] {
        &self.snapshot.features[self.features[part].clone()]
    }

    /// The lines of a kit.
    pub(crate) fn kit_lines(&self, kit: PartIx) -> &[(PartIx, &'a KitLine)] {
        &self.kit_lines[kit]
    }

    /// What comes along with a part.
    pub(crate) fn companions(&self, part: PartIx) -> &[(PartIx, &'a Companion)] {
        &self.companions[part]
    }

    /// Notices by which a part gives way.
    pub(crate) fn notices_from(&self, old: PartIx) -> &[Notice<'a>] {
        &self.notices_from[old]
    }

    /// Notices by which others give way to a part.
    pub(crate) fn notices_to(&self, new: PartIx) -> &[Notice<'a>] {
        &self.notices_to[new]
    }

    /// What else a notice asks for.
    pub(crate) fn notice_needs(&self, notice: &str) -> &[&'a SupersessionNeed] {
        self.needs.get(notice).map_or(&[], Vec::as_slice)
    }

    /// The positions that one piece of a set fills in a unit; empty for a part that is no set there.
    pub(crate) fn set_positions(&self, unit: &UnitKey, part: PartIx) -> &[&'a SetPosition] {
        self.set_positions
            .get(unit.as_str())
            .and_then(|of_unit| of_unit.get(&part))
            .map_or(&[], Vec::as_slice)
    }

    /// What makers say of two parts together.
    pub(crate) fn statements(&self, a: PartIx, b: PartIx) -> &[&'a FitStatement] {
        self.statements.get(&(a.min(b), a.max(b))).map_or(&[], Vec::as_slice)
    }
}
