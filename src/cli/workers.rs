//! Runs independent work in parallel and returns the results in the order of the input.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Threads per processor. While one waits for the disk (flushing a certificate is a tenth of its
/// time), another computes.
const PER_PROCESSOR: usize = 2;

/// Runs `work` for every item. A thread continues with the next item when it has finished one.
pub(super) fn map<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let threads = std::thread::available_parallelism()
        .map_or(1, |processors| PER_PROCESSOR * processors.get())
        .min(items.len());
    if threads <= 1 {
        return items.iter().map(work).collect();
    }
    let next = AtomicUsize::new(0);
    let done = Mutex::new(Vec::with_capacity(items.len()));
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                loop {
                    let i = next.fetch_add(1, Ordering::Relaxed);
                    let Some(item) = items.get(i) else { break };
                    let result = work(item);
                    done.lock()
                        .unwrap_or_else(std::sync::PoisonError::into_inner)
                        .push((i, result));
                }
            });
        }
    });
    let mut done = done
        .into_inner()
        .unwrap_or_else(std::sync::PoisonError::into_inner);
    done.sort_unstable_by_key(|(i, _)| *i);
    done.into_iter().map(|(_, result)| result).collect()
}

#[cfg(test)]
mod tests {
    use super::map;

    #[test]
    fn results_are_in_the_order_of_the_items() {
        let items: Vec<u64> = (0..1000).collect();
        let squares: Vec<u64> = items.iter().map(|n| n * n).collect();
        assert_eq!(map(&items, |n| n * n), squares);
        assert!(map(&[] as &[u64], |n| *n).is_empty());
    }
}
