//! Room on a disk.

use std::path::Path;

/// Number of bytes that this user can still write to the disk of a folder, where the system says so.
pub fn free(folder: &Path) -> Option<u64> {
    #[cfg(target_os = "linux")]
    {
        let disk = rustix::fs::statvfs(folder).ok()?;
        Some(disk.f_bavail.saturating_mul(disk.f_frsize))
    }
    #[cfg(not(target_os = "linux"))]
    {
        let _ = folder;
        None
    }
}

#[cfg(all(test, target_os = "linux"))]
mod tests {
    use super::free;
    use std::path::Path;

    #[test]
    fn a_disk_has_room_and_proc_has_none() {
        assert!(free(&std::env::temp_dir()).is_some_and(|bytes| bytes > 0));
        assert_eq!(free(Path::new("/proc")), Some(0));
        assert_eq!(free(Path::new("/nowhere/at/all")), None);
    }
}
