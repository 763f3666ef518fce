//! The closed vocabularies of the trade: what a crack runs like, what a wall is made of, how wet it is.
//!
//! Each is stored, typed and shown as the same kebab-case word. `unknown` is an answer of its own and never the same
//! as the question not having been asked (`Option::None`).

/// Declares an enum whose every value is one kebab-case word.
macro_rules! words {
    ($(#[$meta:meta])* $name:ident { $($(#[$vmeta:meta])* $variant:ident = $word:literal),+ $(,)? }) => {
        $(#[$meta])*
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash,
            serde::Serialize, serde::Deserialize, schemars::JsonSchema,
        )]
        pub enum $name {
            $($(#[$vmeta])* #[serde(rename = $word)] $variant,)+
        }

        impl $name {
            pub const ALL: &'static [$name] = &[$($name::$variant),+];
            pub const WORDS: &'static [&'static str] = &[$($word),+];

            pub fn word(self) -> &'static str {
                match self { $($name::$variant => $word),+ }
            }

            pub fn from_word(word: &str) -> Option<$name> {
                match word { $($word => Some($name::$variant),)+ _ => None }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.word())
            }
        }
    };
}

pub(super) use words;

words! {
    /// How a section stands on the ground.
    Foundation { Slab = "slab", CrawlSpace = "crawl-space", Basement = "basement", Pier = "pier", Unknown = "unknown" }
}

words! {
    /// What the walls of a section, or the wall with a finding, are made of.
    Walls { Poured = "poured", Block = "block", Brick = "brick", Stone = "stone", Wood = "wood", Unknown = "unknown" }
}

words! {
    /// An answer to a yes-or-no question that may be open.
    Answer { Yes = "yes", No = "no", Unknown = "unknown" }
}

words! {
    /// The kinds of finding, each with its own questions and readings.
    FindingKind {
        Crack = "crack", Bow = "bow", Settlement = "settlement", Binding = "binding", Bearing = "bearing",
        Spall = "spall", Bolt = "bolt", Damp = "damp", Efflorescence = "efflorescence", Rot = "rot",
        Insects = "insects", Mould = "mould", Grade = "grade", Drainage = "drainage", Walkway = "walkway",
        Tree = "tree", Vent = "vent", Clearance = "clearance", Electrics = "electrics", Other = "other",
    }
}

words! {
    /// The direction a crack runs in.
    Runs { Vertical = "vertical", Horizontal = "horizontal", Diagonal = "diagonal", Stepped = "stepped", Unknown = "unknown" }
}

words! {
    /// What reinforced concrete is exposed to.
    Exposure {
        DryAir = "dry-air", MoistOrSoil = "moist-or-soil", Deicing = "deicing", Seawater = "seawater",
        WaterRetaining = "water-retaining",
    }
}

words! {
    /// How wet a place is.
    Water { Dry = "dry", Damp = "damp", Seeping = "seeping", Running = "running", Unknown = "unknown" }
}

words! {
    /// Where a crack is.
    Surface { Wall = "wall", Slab = "slab" }
}

words! {
    /// A structural member that may lose its support, rot, or stand too near the soil.
    Member {
        Post = "post", Beam = "beam", Girder = "girder", Sill = "sill", Joist = "joist", JoistEnd = "joist-end",
        Column = "column", Framing = "framing", Siding = "siding", SidingOverSlab = "siding-over-slab", Other = "other",
    }
}

words! {
    /// How much a member still rests on what carries it.
    Support { Full = "full", Partial = "partial", None = "none", Unknown = "unknown" }
}

words! {
    /// Signs of insects that were seen.
    InsectSign {
        MudTubes = "mud-tubes", Wings = "wings", Powder = "powder", Galleries = "galleries", CoarseSawdust = "coarse-sawdust",
    }
}

words! {
    /// What part of the drainage is wrong.
    DrainagePart { Gutter = "gutter", Downspout = "downspout", Outlet = "outlet", Drain = "drain" }
}

words! {
    /// What a walked surface is made of.
    Paving { Slab = "slab", Stone = "stone", Drive = "drive" }
}

words! {
    /// How much water a tree asks of its ground.
    Demand { High = "high", Moderate = "moderate", Low = "low" }
}

words! {
    /// What the water stands near.
    Equipment { Equipment = "equipment", Cord = "cord", Panel = "panel" }
}

words! {
    /// The ground beside a wall.
    Ground { Soil = "soil", Paved = "paved" }
}

words! {
    /// The kind of device a radon test was made with.
    Device { Charcoal = "charcoal", AlphaTrack = "alpha-track", Electret = "electret", Monitor = "monitor", Other = "other" }
}

words! {
    /// The level of a house that a radon test stood on.
    Level { Lowest = "lowest", Other = "other" }
}

words! {
    /// What can happen to a property.
    EventKind {
        Storm = "storm", Flood = "flood", Earthquake = "earthquake", Freeze = "freeze", Works = "works", Sale = "sale",
        Heating = "heating",
    }
}

words! {
    /// Equipment, or a thing outdoors, that needs care.
    FixtureKind {
        SumpPump = "sump-pump", BackupPump = "backup-pump", CheckValve = "check-valve", RadonSystem = "radon-system",
        Dehumidifier = "dehumidifier", Gutter = "gutter", Downspout = "downspout", Drain = "drain", Tree = "tree",
        Walkway = "walkway", Vent = "vent", WaterHeater = "water-heater", Other = "other",
    }
}

words! {
    /// The time of year of a walk.
    Season { Spring = "spring", Summer = "summer", Autumn = "autumn", Winter = "winter" }
}

words! {
    /// How a point of a walk ended.
    Outcome { NothingSeen = "nothing-seen", Finding = "finding", NotReached = "not-reached" }
}

impl Outcome {
    /// As it is shown and printed.
    pub fn phrase(self) -> &'static str {
        match self {
            Outcome::NothingSeen => "nothing seen",
            Outcome::Finding => "finding",
            Outcome::NotReached => "not reached",
        }
    }
}

words! {
    /// What was done to mend a finding.
    Method {
        EpoxyInjection = "epoxy-injection", PolyurethaneInjection = "polyurethane-injection", Patch = "patch",
        Drainage = "drainage", Grading = "grading", Gutter = "gutter", Sealing = "sealing",
        Replacement = "replacement", Treatment = "treatment", Underpinning = "underpinning", Bracing = "bracing",
        Other = "other",
    }
}

impl Method {
    /// Whether it fills a crack, and so hides its record.
    pub fn fills(self) -> bool {
        matches!(self, Method::EpoxyInjection | Method::PolyurethaneInjection | Method::Patch | Method::Sealing)
    }

    /// Whether readings before it and after it are of two different things; keeping water away changes nothing that was
    /// marked.
    pub fn ends_series(self) -> bool {
        self.fills() || matches!(self, Method::Replacement | Method::Bracing | Method::Underpinning)
    }
}
