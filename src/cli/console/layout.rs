//! What is told of prints on a paper.

use crate::batch::{LaidPrint, LayoutDone};
use crate::light::Millimetres;

use super::table::Table;
use super::{Console, print_lines};

impl Console {
    /// Where each print lies, and the files. Tells whether it could be printed.
    pub(in crate::cli) fn laid(&self, done: &LayoutDone) -> bool {
        let mut table = Table::named(&["print", "size", "from left", "from top", "caption"], 1..4);
        table.rows.extend(done.prints.iter().map(row));
        let mut lines: Vec<String> = table.lines().collect();
        lines.push(String::new());
        lines.extend(done.advice.iter().cloned());
        lines.extend(done.files.iter().map(|file| format!("layout: {}", file.display())));
        let (paper, width, height) = &done.paper;
        lines.push(format!(
            "paper {paper}, {} x {} cm, {} ppi; have it printed at 100 %, not fitted to the page, or the sizes are lost",
            centimetres(*width),
            centimetres(*height),
            done.ppi.value()
        ));
        print_lines(&lines)
    }
}

fn row(print: &LaidPrint) -> Vec<String> {
    let (width, height) = print.size;
    let mm = |length: Millimetres| format!("{:.1} mm", length.value());
    vec![
        print.file.clone(),
        format!("{} x {} cm", centimetres(width), centimetres(height)),
        mm(print.at.0),
        mm(print.at.1),
        print.caption.clone(),
    ]
}

fn centimetres(length: Millimetres) -> String {
    format!("{:.1}", length.value() / 10.0)
}
