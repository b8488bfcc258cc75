//! The shelf: papers and tables of grades that come with the program. Their data files stand beside this one.

use std::sync::LazyLock;

use super::curve::Paper;
use super::file;
use super::table::GradeTable;

/// Names of the papers, the default first.
pub const PAPERS: [&str; 3] = ["glossy", "semi-matt", "matt"];
/// Names of the tables, the default first.
pub const TABLES: [&str; 4] = ["bands", "rc", "rc-later", "fibre"];

static ALL_PAPERS: LazyLock<[Paper; 3]> = LazyLock::new(|| {
    [include_str!("papers/glossy.toml"), include_str!("papers/semi-matt.toml"), include_str!("papers/matt.toml")]
        .map(|text| file::read_paper(text).expect("a test reads all of them"))
});
static ALL_TABLES: LazyLock<[GradeTable; 4]> = LazyLock::new(|| {
    [
        include_str!("tables/bands.toml"),
        include_str!("tables/rc.toml"),
        include_str!("tables/rc-later.toml"),
        include_str!("tables/fibre.toml"),
    ]
    .map(|text| file::read_table(text).expect("a test reads all of them"))
});

/// The paper of this name.
pub fn paper(name: &str) -> Option<&'static Paper> {
    PAPERS.iter().position(|known| *known == name).map(|i| &ALL_PAPERS[i])
}

/// The table of this name.
pub fn table(name: &str) -> Option<&'static GradeTable> {
    TABLES.iter().position(|known| *known == name).map(|i| &ALL_TABLES[i])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Published Dmax of surfaces, data sheets and handbooks (quoted in part, in part from memory); Dmin 0.02 to 0.10.
    #[test]
    fn each_paper_lies_within_what_is_published_of_its_surface() {
        for (name, low, high) in [("glossy", 2.0, 2.2), ("semi-matt", 1.7, 1.9), ("matt", 1.4, 1.7)] {
            let paper = paper(name).unwrap();
            assert!((low..=high).contains(&paper.black().value()), "{name}");
            assert!((0.02..=0.10).contains(&paper.white().value()), "{name}");
            assert_eq!(paper.name(), format!("neutral {name}"));
        }
    }

    #[test]
    fn each_figure_has_its_source() {
        let papers = PAPERS.iter().map(|name| paper(name).unwrap().figures());
        let tables = TABLES.iter().map(|name| table(name).unwrap().figures());
        for figures in papers.chain(tables) {
            assert!(figures.len() >= 3 && figures.iter().all(|f| !f.source.is_empty()), "{figures:?}");
        }
    }
}
