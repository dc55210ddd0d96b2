//! The worksheet as HTML: the same sheet as on paper, with the same fields.

use crate::compose::document::{Block, Document, Field, Text};
use crate::compose::html::escaped;

/// The sheet's contents, as elements of a page.
pub fn body(sheet: &Document) -> String {
    sheet.body.iter().map(block).collect()
}

fn block(block: &Block) -> String {
    match block {
        Block::Heading { level, text, .. } => {
            format!("<h{level}>{}</h{level}>\n", escaped(text))
        }
        Block::Paragraph(text) | Block::Small(text) => format!("<p>{}</p>\n", spans(text)),
        Block::List { items, .. } => {
            let items: String = items
                .iter()
                .map(|i| format!("<li>{}</li>", spans(i)))
                .collect();
            format!("<ul>{items}</ul>\n")
        }
        Block::Caution { title, items, .. } => {
            let items: String = items
                .iter()
                .map(|i| format!("<li>{}</li>", spans(i)))
                .collect();
            format!(
                "<section class=\"caution\"><b>{}</b><ul>{items}</ul></section>\n",
                escaped(title)
            )
        }
        Block::Table(table) => {
            let rows: String = table
                .rows
                .iter()
                .map(|row| {
                    let cells: String = row
                        .cells
                        .iter()
                        .zip(&table.columns)
                        .enumerate()
                        .filter(|(i, (cell, _))| {
                            *i == 0 || field(cell).is_some() || !cell.characters().is_empty()
                        })
                        .map(|(i, (cell, column))| match field(cell) {
                            Some(field) => input(field, &column.head, column.unit.as_deref()),
                            None if i == 0 => format!("<div class=\"what\">{}</div>", spans(cell)),
                            None => format!("<div>{}</div>", spans(cell)),
                        })
                        .collect();
                    format!("<div class=\"row\">{cells}</div>\n")
                })
                .collect();
            format!("<div class=\"table\">{rows}</div>\n")
        }
        // A sheet contains no other kinds of block.
        _ => String::new(),
    }
}

fn field(cell: &Text) -> Option<&Field> {
    cell.0.iter().find_map(|span| span.field.as_ref())
}

fn input(field: &Field, head: &str, unit: Option<&str>) -> String {
    let name = escaped(&field.name);
    let unit = unit.map_or_else(String::new, |u| format!(" <i>{}</i>", escaped(u)));
    let (list, choices) = if field.choices.is_empty() {
        (String::new(), String::new())
    } else {
        let options: String = field
            .choices
            .iter()
            .map(|c| format!("<option value=\"{}\">", escaped(c)))
            .collect();
        (
            format!(" list=\"list-{name}\""),
            format!("<datalist id=\"list-{name}\">{options}</datalist>"),
        )
    };
    format!(
        "<label>{}{unit}<input name=\"{name}\" aria-label=\"{}\" autocomplete=\"off\"{list}>{choices}</label>",
        escaped(head),
        escaped(&field.tip),
    )
}

fn spans(text: &Text) -> String {
    text.0
        .iter()
        .map(|span| {
            let words = escaped(&span.text).replace('\n', "<br>");
            if span.strong {
                format!("<b>{words}</b>")
            } else {
                words
            }
        })
        .collect()
}
