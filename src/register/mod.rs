//! The register: many certificates as one table, with due dates.

pub mod apart;
pub mod cache;
pub mod calendar;
#[cfg(feature = "parquet")]
pub mod columns;
pub mod current;
pub mod fleet;
pub mod html_page;
pub mod index;
pub mod measured;
pub mod new_keys;
pub mod row;
pub mod rows;
pub mod summary;
pub mod text_table;
pub mod wanted;
