//! Runs a loop with the widest vector instructions of the machine, found at run time.
//!
//! Without fused operations the width does not change a bit of the result; [`scalar_only`] lets a test see it.

use std::sync::atomic::{AtomicUsize, Ordering};

/// Work to be compiled once for each vector width.
pub trait Kernel {
    /// What the work returns.
    type Output;

    /// The work: plain loops over fixed-size arrays. Mark the implementation `#[inline(always)]`, and
    /// whatever it calls, or it is compiled for the oldest machine only.
    fn run(self) -> Self::Output;
}

struct AnyWidth<K>(K);

impl<K: Kernel> pulp::WithSimd for AnyWidth<K> {
    type Output = K::Output;

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _simd: S) -> K::Output {
        self.0.run()
    }
}

static SCALAR_ONLY: AtomicUsize = AtomicUsize::new(0);

/// Runs `kernel` compiled for this machine's vector width.
pub fn run<K: Kernel>(kernel: K) -> K::Output {
    if SCALAR_ONLY.load(Ordering::Relaxed) > 0 { kernel.run() } else { pulp::Arch::new().dispatch(AnyWidth(kernel)) }
}

/// While the guard lives, [`run`] keeps to the baseline instructions, in every thread.
///
/// Only the speed changes: that is what tests use it to show.
#[must_use = "the baseline is kept only while the guard lives"]
pub fn scalar_only() -> ScalarOnly {
    SCALAR_ONLY.fetch_add(1, Ordering::Relaxed);
    ScalarOnly(())
}

/// Guard of [`scalar_only`].
#[derive(Debug)]
pub struct ScalarOnly(());

impl Drop for ScalarOnly {
    fn drop(&mut self) {
        SCALAR_ONLY.fetch_sub(1, Ordering::Relaxed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::num;

    struct Powers<'a>(&'a mut [f64; 64]);

    impl Kernel for Powers<'_> {
        type Output = ();

        #[inline(always)]
        fn run(self) {
            for x in self.0.iter_mut() {
                *x = num::pow(*x, 0.3) + num::sin(*x) + num::ln(*x) * num::exp(-*x) + num::acos(*x / 1000.0) + num::atan(*x);
            }
        }
    }

    #[test]
    fn every_width_gives_the_same_bits() {
        let start: [f64; 64] = std::array::from_fn(|i| 0.37 + 13.1 * i as f64);
        let (mut wide, mut narrow) = (start, start);
        run(Powers(&mut wide));
        {
            let _guard = scalar_only();
            run(Powers(&mut narrow));
        }
        assert_eq!(wide.map(f64::to_bits), narrow.map(f64::to_bits));
        // Without this the two runs could be the same code.
        #[cfg(target_arch = "x86_64")]
        if std::is_x86_feature_detected!("avx2") && std::is_x86_feature_detected!("fma") {
            assert!(!format!("{:?}", pulp::Arch::new()).contains("Scalar"));
        }
    }
}
