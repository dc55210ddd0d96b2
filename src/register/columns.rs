//! The register as a Parquet file with one column for each of [`COLUMNS`]: text as UTF-8, days as
//! dates, the signing time in microseconds UTC, numbers of signatures as integers.

use super::row::Row;
use super::text_table::{COLUMNS, Cell, cells};
use chrono::NaiveDate;
use parquet::basic::{ConvertedType, LogicalType, Repetition, TimeUnit, Type as Physical};
use parquet::data_type::{BoolType, ByteArray, ByteArrayType, DoubleType, Int32Type, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::types::Type;
use std::sync::Arc;

/// Rows per group: large enough for readers to skip, small enough for memory.
const GROUP: usize = 65_536;

/// The bytes of a Parquet file with these rows.
///
/// # Errors
/// Writing to memory does not fail; errors of the library are passed on.
pub fn parquet(rows: &[&Row]) -> Result<Vec<u8>, ParquetError> {
    let properties = WriterProperties::builder()
        .set_created_by(format!("warmlug {}", env!("CARGO_PKG_VERSION")))
        .build();
    let mut writer = SerializedFileWriter::new(Vec::new(), schema()?, Arc::new(properties))?;
    for rows in rows.chunks(GROUP) {
        let table: Vec<_> = rows.iter().map(|r| cells(r)).collect();
        let mut group = writer.next_row_group()?;
        let mut index = 0;
        while let Some(mut column) = group.next_column()? {
            let cells = table.iter().map(|row| &row[index]);
            match &KINDS[index] {
                Kind::Text => {
                    let (values, there) = split(cells, |c| match c {
                        Cell::Text(t) => t.map(ByteArray::from),
                        _ => None,
                    });
                    column
                        .typed::<ByteArrayType>()
                        .write_batch(&values, Some(&there), None)?;
                }
                Kind::Date => {
                    let (values, there) = split(cells, |c| match c {
                        Cell::Date(d) => d.map(days),
                        _ => None,
                    });
                    column
                        .typed::<Int32Type>()
                        .write_batch(&values, Some(&there), None)?;
                }
                Kind::Moment => {
                    let (values, there) = split(cells, |c| match c {
                        Cell::Moment(m) => m.map(|m| m.timestamp_micros()),
                        _ => None,
                    });
                    column
                        .typed::<Int64Type>()
                        .write_batch(&values, Some(&there), None)?;
                }
                Kind::Count => {
                    let (values, there) = split(cells, |c| match c {
                        Cell::Count(n) => n.map(i64::from),
                        _ => None,
                    });
                    column
                        .typed::<Int64Type>()
                        .write_batch(&values, Some(&there), None)?;
                }
                Kind::Flag => {
                    let (values, there) = split(cells, |c| match c {
                        Cell::Flag(b) => *b,
                        _ => None,
                    });
                    column
                        .typed::<BoolType>()
                        .write_batch(&values, Some(&there), None)?;
                }
                Kind::Number => {
                    let (values, there) = split(cells, |c| match c {
                        Cell::Number(n) => *n,
                        _ => None,
                    });
                    column
                        .typed::<DoubleType>()
                        .write_batch(&values, Some(&there), None)?;
                }
            }
            column.close()?;
            index += 1;
        }
        group.close()?;
    }
    writer.into_inner()
}

/// The type of a column.
enum Kind {
    Text,
    Date,
    Moment,
    Flag,
    Number,
    Count,
}

/// The types of the columns, in order.
const KINDS: [Kind; COLUMNS.len()] = {
    use Kind::{Count, Date, Flag, Moment, Number, Text};
    [
        Text, Text, Text, Text, Date, Text, Flag, Text, Number, Date, Text, Text, Moment, Flag,
        Text, Text, Text, Text, Text, Text, Count, Text, Text, Flag, Text, Text, Text, Flag, Text,
    ]
};

fn schema() -> Result<Arc<Type>, ParquetError> {
    let fields = COLUMNS
        .iter()
        .zip(&KINDS)
        .map(|(name, kind)| {
            let (physical, converted) = match kind {
                Kind::Text => (Physical::BYTE_ARRAY, ConvertedType::UTF8),
                Kind::Date => (Physical::INT32, ConvertedType::DATE),
                Kind::Moment => (Physical::INT64, ConvertedType::TIMESTAMP_MICROS),
                Kind::Flag => (Physical::BOOLEAN, ConvertedType::NONE),
                Kind::Count => (Physical::INT64, ConvertedType::INT_64),
                Kind::Number => (Physical::DOUBLE, ConvertedType::NONE),
            };
            // A point in time without a time zone.
            let logical = matches!(kind, Kind::Moment)
                .then(|| LogicalType::timestamp(true, TimeUnit::MICROS));
            let field = Type::primitive_type_builder(name, physical)
                .with_repetition(Repetition::OPTIONAL)
                .with_converted_type(converted)
                .with_logical_type(logical)
                .build()?;
            Ok(Arc::new(field))
        })
        .collect::<Result<Vec<_>, ParquetError>>()?;
    Ok(Arc::new(
        Type::group_type_builder("register")
            .with_fields(fields)
            .build()?,
    ))
}

/// The existing values, and for each row whether it has one.
fn split<'a, T>(
    cells: impl Iterator<Item = &'a Cell<'a>>,
    value: impl Fn(&Cell<'_>) -> Option<T>,
) -> (Vec<T>, Vec<i16>) {
    let mut values = Vec::new();
    let there = cells
        .map(|cell| match value(cell) {
            Some(v) => {
                values.push(v);
                1
            }
            None => 0,
        })
        .collect();
    (values, there)
}

/// Days since 1970-01-01, as Parquet counts them.
fn days(date: NaiveDate) -> i32 {
    date.to_epoch_days()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::row::tests::row;
    use super::*;
    use parquet::file::reader::{FileReader, SerializedFileReader};
    use parquet::record::RowAccessor;

    #[test]
    fn reads_back_what_was_written() {
        let mut rows = [
            row("2026-0001", "a", "2026-01-01", Some("2026-07-01")),
            Row::unreadable("b.pdf", "gone".to_owned()),
        ];
        rows[0].signed_at = Some("2026-01-01T12:00:00+02:00".parse().unwrap());
        rows[0].signatures = Some(2);
        let mut file = tempfile::tempfile().unwrap();
        std::io::Write::write_all(
            &mut file,
            &parquet(&rows.iter().collect::<Vec<_>>()).unwrap(),
        )
        .unwrap();
        let reader = SerializedFileReader::new(file).unwrap();
        let read: Vec<_> = reader
            .get_row_iter(None)
            .unwrap()
            .map(Result::unwrap)
            .collect();
        assert_eq!(read.len(), 2);
        assert_eq!(read[0].get_string(0).unwrap(), "2026-0001");
        assert_eq!(read[0].get_double(8).unwrap(), 20.0);
        assert!(read[0].get_bool(13).unwrap());
        // 2026-01-01T10:00:00Z, by `date -u -d 2026-01-01T10:00:00Z +%s`.
        assert_eq!(
            read[0].get_timestamp_micros(12).unwrap(),
            1_767_261_600_000_000
        );
        assert_eq!(read[0].get_long(20).unwrap(), 2);
        let names: Vec<&String> = read[1].get_column_iter().map(|(n, _)| n).collect();
        assert_eq!(names, COLUMNS.iter().collect::<Vec<_>>());
        assert_eq!(read[1].get_string(14).unwrap(), "gone");
    }
}
