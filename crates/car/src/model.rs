//! Which of the four kinds of car is computed, and what its corners are called.

/// A model drawn from the one vehicle description.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Model {
    /// One front corner with half of its axle's share of the body.
    QuarterFront,
    /// One rear corner with half of its axle's share of the body.
    QuarterRear,
    /// One side of the whole car: heave and pitch.
    Pitch,
    /// Front axle with its share of the body: heave and roll.
    RollFront,
    /// Rear axle with its share of the body: heave and roll.
    RollRear,
    /// Heave, roll, pitch and four wheels.
    Full,
}

impl Model {
    /// Every model, simplest first.
    pub const ALL: [Model; 6] =
        [Model::QuarterFront, Model::QuarterRear, Model::Pitch, Model::RollFront, Model::RollRear, Model::Full];

    /// The name used on the command line and in results.
    pub fn name(self) -> &'static str {
        match self {
            Model::QuarterFront => "quarter-front",
            Model::QuarterRear => "quarter-rear",
            Model::Pitch => "pitch",
            Model::RollFront => "roll-front",
            Model::RollRear => "roll-rear",
            Model::Full => "full",
        }
    }

    /// The model of that name.
    pub fn by_name(name: &str) -> Option<Model> {
        Model::ALL.into_iter().find(|m| m.name() == name)
    }

    /// What it is called on screen.
    pub fn label(self) -> &'static str {
        match self {
            Model::QuarterFront => "quarter car, front",
            Model::QuarterRear => "quarter car, rear",
            Model::Pitch => "half car, pitch",
            Model::RollFront => "half car, roll, front",
            Model::RollRear => "half car, roll, rear",
            Model::Full => "full car",
        }
    }

    /// What it leaves out of the car, in one sentence.
    pub fn simplification(self) -> &'static str {
        match self {
            Model::QuarterFront | Model::QuarterRear => {
                "One wheel with half of its axle's share of the body: no roll, no pitch, no anti-roll bar, both tracks as their mean."
            }
            Model::Pitch => {
                "Both sides alike, on the mean of both tracks: heave and pitch, no roll, no anti-roll bars."
            }
            Model::RollFront | Model::RollRear => {
                "One axle with its share of body mass, roll inertia and moments: heave and roll, no pitch, nothing from the other axle."
            }
            Model::Full => {
                "Rigid body with small angles on four wheels: no tyre slip or steering force, no bending body, no engine on its mounts."
            }
        }
    }

    /// Names of its corners, in the order every per-corner figure has.
    pub fn corner_names(self) -> &'static [&'static str] {
        match self {
            Model::QuarterFront => &["front"],
            Model::QuarterRear => &["rear"],
            Model::Pitch => &["front", "rear"],
            Model::RollFront | Model::RollRear => &["left", "right"],
            Model::Full => &["front_left", "front_right", "rear_left", "rear_right"],
        }
    }

    /// Axle (0 front, 1 rear) and side (0 left, 1 right) of each corner.
    pub fn corner_places(self) -> &'static [(usize, usize)] {
        match self {
            Model::QuarterFront => &[(0, 0)],
            Model::QuarterRear => &[(1, 0)],
            Model::Pitch => &[(0, 0), (1, 0)],
            Model::RollFront => &[(0, 0), (0, 1)],
            Model::RollRear => &[(1, 0), (1, 1)],
            Model::Full => &[(0, 0), (0, 1), (1, 0), (1, 1)],
        }
    }

    /// Number of corners.
    pub fn corners(self) -> usize {
        self.corner_names().len()
    }

    /// True where the body can roll.
    pub fn rolls(self) -> bool {
        matches!(self, Model::RollFront | Model::RollRear | Model::Full)
    }

    /// True where the body can pitch.
    pub fn pitches(self) -> bool {
        matches!(self, Model::Pitch | Model::Full)
    }
}
