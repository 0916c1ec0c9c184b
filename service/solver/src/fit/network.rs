//! A problem laid flat for propagation: domains as bits, binary constraints as rows of bits, the others as tuples.

/// A constraint of two variables as rows of bits.
#[derive(Debug, Clone, Copy)]
pub(super) struct Binary {
    /// The variables.
    pub(super) scope: [u32; 2],
    /// For each side the start of its rows: the row of a value holds the values of the other side it goes with.
    pub(super) rows: [u32; 2],
    /// Start of its unverified counts (value of the first times domain of the second plus value of the second).
    pub(super) unverified: Option<u32>,
}

/// Any other constraint as a list of tuples; those found dead are taken out.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wide {
    /// Start in `scopes`.
    pub(super) scope: u32,
    /// How many variables.
    pub(super) arity: u32,
    /// Start in `tuples`.
    pub(super) tuples: u32,
    /// Start in `tuple_unverified`.
    pub(super) unverified: u32,
    /// How many tuples are alive.
    pub(super) len: u32,
    /// Whether any tuple has an unverified joint.
    pub(super) has_unverified: bool,
}

/// The problem laid flat. Constraints are numbered: the binary ones first, then the wide ones.
#[derive(Debug, Clone, Default)]
pub(super) struct Network {
    /// Values of each variable, dead or alive.
    pub(super) domain: Vec<u32>,
    /// Start of the values of each variable in arrays over all values; one more entry than variables.
    pub(super) value_start: Vec<u32>,
    /// Start of the words of each variable in `live`; one more entry than variables.
    pub(super) word_start: Vec<u32>,
    /// A bit for each value that is still possible.
    pub(super) live: Vec<u64>,
    /// How many values of each variable are still possible.
    pub(super) count: Vec<u32>,
    pub(super) binaries: Vec<Binary>,
    pub(super) rows: Vec<u64>,
    pub(super) unverified: Vec<u32>,
    pub(super) wides: Vec<Wide>,
    pub(super) scopes: Vec<u32>,
    pub(super) tuples: Vec<u32>,
    pub(super) tuple_unverified: Vec<u32>,
    /// For each variable the numbers of its constraints: `incident[incident_start[v]..incident_start[v + 1]]`.
    pub(super) incident_start: Vec<u32>,
    pub(super) incident: Vec<u32>,
    /// The index in the problem of each constraint: of the binary ones, then of the wide ones.
    pub(super) binary_source: Vec<u32>,
    pub(super) wide_source: Vec<u32>,
    /// Unverified joints of unary constraints, by value; empty if there are none.
    pub(super) unary_unverified: Vec<u32>,
    /// Unverified joints of constraints without variables.
    pub(super) constant_unverified: u32,
    /// The largest sum of unverified joints the constraints can add.
    pub(super) most_unverified: u64,
    /// A constraint without variables that allows nothing, if there is one.
    pub(super) never: Option<u32>,
}

impl Network {
    /// How many constraints are numbered.
    pub(super) fn constraints(&self) -> usize {
        self.binaries.len() + self.wides.len()
    }

    /// The variables of a numbered constraint.
    pub(super) fn scope(&self, constraint: usize) -> &[u32] {
        match self.binaries.get(constraint) {
            Some(binary) => &binary.scope,
            None => {
                let wide = &self.wides[constraint - self.binaries.len()];
                &self.scopes[wide.scope as usize..(wide.scope + wide.arity) as usize]
            }
        }
    }

    /// The index in the problem of a numbered constraint.
    pub(super) fn source(&self, constraint: usize) -> usize {
        match self.binary_source.get(constraint) {
            Some(&source) => source as usize,
            None => self.wide_source[constraint - self.binaries.len()] as usize,
        }
    }

    /// The numbers of the constraints of a variable.
    pub(super) fn incident(&self, variable: usize) -> &[u32] {
        &self.incident[self.incident_start[variable] as usize..self.incident_start[variable + 1] as usize]
    }

    /// Whether a value is still possible.
    pub(super) fn is_live(&self, variable: usize, value: usize) -> bool {
        self.live[self.word_start[variable] as usize + value / 64] >> (value % 64) & 1 == 1
    }

    /// Takes a value away.
    pub(super) fn remove(&mut self, variable: usize, value: usize) {
        self.live[self.word_start[variable] as usize + value / 64] &= !(1 << (value % 64));
        self.count[variable] -= 1;
    }

    /// The words of a variable in `live`.
    pub(super) fn words(&self, variable: usize) -> std::ops::Range<usize> {
        self.word_start[variable] as usize..self.word_start[variable + 1] as usize
    }

    /// Calls with each value that is still possible, rising.
    pub(super) fn for_live(&self, variable: usize, mut call: impl FnMut(usize)) {
        for (index, &word) in self.live[self.words(variable)].iter().enumerate() {
            let mut rest = word;
            while rest != 0 {
                call(index * 64 + rest.trailing_zeros() as usize);
                rest &= rest - 1;
            }
        }
    }
}
