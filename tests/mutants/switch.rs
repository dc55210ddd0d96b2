/// Whether mutant `id` is the one switched on; reports once that it was reached.
#[doc(hidden)]
#[allow(missing_docs, clippy::all)]
pub fn mutants_on(id: usize) -> bool {
    use std::io::Write;
    use std::sync::LazyLock;
    use std::sync::atomic::{AtomicBool, Ordering};
    static ON: LazyLock<usize> = LazyLock::new(|| {
        let told = std::env::var("MUTANT").ok();
        told.and_then(|v| v.parse().ok()).unwrap_or(usize::MAX)
    });
    static RECORD: LazyLock<Option<std::ffi::OsString>> =
        LazyLock::new(|| std::env::var_os("MUTANTS_REACHED"));
    static REACHED: [AtomicBool; 8192] = [const { AtomicBool::new(false) }; 8192];
    if let Some(path) = &*RECORD
        && !REACHED[id].swap(true, Ordering::Relaxed)
        && let Ok(mut file) = std::fs::File::options()
            .create(true)
            .append(true)
            .open(path)
    {
        let _ = file.write_all(format!("{id}\n").as_bytes());
    }
    *ON == id
}
