//! A generic type as the catalogue holds it: figures, grades, packages and pin orders.

use super::{Figure, Fits, Kind, Mark, Property};
use indexmap::IndexMap;
use std::collections::BTreeMap;

/// A generic type, e.g. `78L05`.
///
/// Ratings (limits that a check compares with) carry the conservative value as their nominal;
/// operating figures (which a circuit is solved with) carry the typical value as nominal and the
/// makers' limits as low and high. The mark of a figure is that of the weakest of its three values.
#[derive(Debug, Clone)]
pub struct Type {
    /// Name in the catalogue, e.g. `1N4004`.
    pub name: String,
    /// Family under which it is listed, e.g. `1N400x`.
    pub family: String,
    /// What the family is, in a few words.
    pub family_title: String,
    /// Kind of part.
    pub kind: Kind,
    /// What it is, in a few words.
    pub title: String,
    /// Words that are not figures: `polarity`, `colour`, `technology`, `law` …
    pub words: BTreeMap<String, String>,
    /// Figures of the widest grade; a package's own figures go before these.
    pub figures: BTreeMap<Property, Figure>,
    /// Figures that a grade letter narrows.
    pub grades: BTreeMap<String, BTreeMap<Property, Figure>>,
    /// Packages, the most usual first.
    pub packages: IndexMap<String, Package>,
    /// Forward characteristic of a junction.
    pub fits: Option<Fits>,
    /// What the makers differ on, by property.
    pub makers_differ: BTreeMap<Property, String>,
    /// Notes and traps of the type in any package.
    pub notes: Vec<String>,
    /// Other names under which it is found.
    pub aliases: Vec<String>,
    /// Letters that makers put before the number.
    pub prefixes: Vec<String>,
}

/// A type in one package.
#[derive(Debug, Clone)]
pub struct Package {
    /// Pin → function, in pin order.
    pub pins: IndexMap<String, String>,
    /// Function of the metal tab, where there is one.
    pub tab: Option<String>,
    /// How the package is looked at when its pins are counted.
    pub view: String,
    /// Which drawing shows it.
    pub outline: Outline,
    /// Figures that hold in this package.
    pub figures: BTreeMap<Property, Figure>,
    /// What the makers differ on, by property of [`Self::figures`].
    pub makers_differ: BTreeMap<Property, String>,
    /// What goes wrong with this pin order.
    pub traps: Vec<String>,
    /// Where the pin order was read.
    pub source: String,
    /// How far the pin order was confirmed.
    pub mark: Mark,
}

/// The shape of a package, as far as its pins are concerned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Outline {
    /// Plastic half-round with three leads in a row (TO-92).
    HalfRound,
    /// Flat body with a metal tab and leads in a row (TO-220).
    Tabbed,
    /// Two rows of pins, counted counter-clockwise from the notch (DIP, SO).
    DualRow,
    /// Cylinder with a lead at each end, banded at the cathode (DO-41, DO-35).
    Axial,
    /// Round body with both leads below (radial capacitor, LED).
    Radial,
    /// Leads in one row below a round or flat body (round bridge, potentiometer lugs).
    Row,
    /// Surface-mounted with three legs and a tab (SOT-89, SOT-23).
    Small,
}

impl Type {
    /// The figure of a property in a package and grade: the package's own first, then the
    /// grade's, then that of the type.
    #[must_use]
    pub fn figure(
        &self,
        property: Property,
        package: Option<&str>,
        grade: Option<&str>,
    ) -> Option<&Figure> {
        package
            .and_then(|name| self.packages.get(name)?.figures.get(&property))
            .or_else(|| self.grades.get(grade?)?.get(&property))
            .or_else(|| self.figures.get(&property))
    }

    /// All figures in a package and grade, merged in that order.
    #[must_use]
    pub fn figures_in(
        &self,
        package: Option<&str>,
        grade: Option<&str>,
    ) -> BTreeMap<Property, Figure> {
        let mut merged = self.figures.clone();
        if let Some(narrowed) = grade.and_then(|name| self.grades.get(name)) {
            merged.extend(narrowed.iter().map(|(p, f)| (*p, f.clone())));
        }
        if let Some(package) = package.and_then(|name| self.packages.get(name)) {
            merged.extend(package.figures.iter().map(|(p, f)| (*p, f.clone())));
        }
        merged
    }

    /// A word, e.g. `word("polarity")`.
    #[must_use]
    pub fn word(&self, key: &str) -> Option<&str> {
        self.words.get(key).map(String::as_str)
    }

    /// The package of that name, in any spelling (`TO92`, `to-92`).
    #[must_use]
    pub fn package(&self, name: &str) -> Option<(&str, &Package)> {
        let wanted = super::name::squeeze(name);
        self.packages
            .iter()
            .find(|(key, _)| super::name::squeeze(key) == wanted)
            .map(|(key, package)| (key.as_str(), package))
    }
}
