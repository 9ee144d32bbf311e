//! The one form that tables have at the terminal: a headed list, figures to the right, lines only under the head.

use comfy_table::{Cell, CellAlignment, ContentArrangement, LineStyle, Table, TableStyle};

/// A column's head, and on which side its entries stand.
#[derive(Debug, Clone, Copy)]
pub enum Column {
    /// Words, to the left.
    Words(&'static str),
    /// Figures, to the right.
    Figures(&'static str),
}

/// A table being filled.
#[derive(Debug)]
pub struct Listing {
    columns: Vec<Column>,
    table: Table,
}

impl Listing {
    /// An empty table with a head.
    #[must_use]
    pub fn new(columns: &[Column]) -> Self {
        let mut table = Table::new();
        table.load_style(TableStyle::new().header_separator(LineStyle::none().fill('\u{2500}')));
        table.set_content_arrangement(ContentArrangement::Disabled).force_no_tty();
        let columns = columns.to_vec();
        table.set_header(columns.iter().map(|column| match *column {
            Column::Words(head) => Cell::new(head),
            Column::Figures(head) => Cell::new(head).set_alignment(CellAlignment::Right),
        }));
        Self { columns, table }
    }

    /// The same table, with long words broken so that it is no wider than this.
    #[must_use]
    pub fn within(mut self, columns: u16) -> Self {
        self.table.set_content_arrangement(ContentArrangement::Dynamic).set_width(columns);
        self
    }

    /// Adds a row, one text for each column.
    pub fn row(&mut self, entries: impl IntoIterator<Item = String>) {
        let cells = entries.into_iter().zip(&self.columns).map(|(entry, column)| match column {
            Column::Words(_) => Cell::new_owned(entry),
            Column::Figures(_) => Cell::new_owned(entry).set_alignment(CellAlignment::Right),
        });
        self.table.add_row(cells.collect::<Vec<_>>());
    }

    /// Whether it has no row.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.table.is_empty()
    }
}

impl std::fmt::Display for Listing {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // Cells are padded to the column's width; blanks at the end of a line help nobody.
        for line in self.table.to_string().lines() {
            writeln!(f, "{}", line.trim_end())?;
        }
        Ok(())
    }
}
