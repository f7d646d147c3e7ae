//! Work behind the hand, on a thread that the hand never waits for.
//!
//! Studies spread their work over all threads of the process. What runs behind has a thread of its
//! own for that, so that a trial does not stand in line behind a map of the sun.

use std::thread;

/// Runs work behind the hand until it ends by itself. A thread that cannot be had does nothing,
/// which pages show as results that do not come.
pub fn run(name: &str, work: impl FnOnce() + Send + 'static) {
    let _ = thread::Builder::new().name(name.to_owned()).spawn(move || match rayon::ThreadPoolBuilder::new()
        .num_threads(1)
        .build()
    {
        Ok(pool) => pool.install(work),
        Err(_) => work(),
    });
}
