//! Transcendental functions that give the same bits on every target, through crate `libm`.
//!
//! `sqrt`, `+`, `-`, `*` and `/` are exact by IEEE 754 and need no help; the functions here are not, so the standard
//! library's (which differ from one system to the next) are forbidden by `.clippy.toml`.

macro_rules! through_libm {
    ($($(#[$doc:meta])* $name:ident($($arg:ident),+) = $function:ident;)+) => {
        $($(#[$doc])* #[inline] #[must_use] pub fn $name($($arg: f64),+) -> f64 { libm::$function($($arg),+) })+
    };
}

through_libm! {
    /// Sine of an angle in radians.
    sin(x) = sin;
    /// Cosine of an angle in radians.
    cos(x) = cos;
    /// Tangent of an angle in radians.
    tan(x) = tan;
    /// Arc sine in radians; NaN outside -1 to 1.
    asin(x) = asin;
    /// Arc cosine in radians; NaN outside -1 to 1.
    acos(x) = acos;
    /// Arc tangent in radians.
    atan(x) = atan;
    /// Angle in radians of the point (x, y), from -pi to pi.
    atan2(y, x) = atan2;
    /// Natural exponential.
    exp(x) = exp;
    /// Natural logarithm.
    ln(x) = log;
    /// `x` to the power `y`.
    pow(x, y) = pow;
    /// Cube root.
    cbrt(x) = cbrt;
    /// Length of the vector (x, y).
    hypot(x, y) = hypot;
}

/// Sine and cosine of an angle in radians.
#[inline]
#[must_use]
pub fn sin_cos(x: f64) -> (f64, f64) {
    (libm::sin(x), libm::cos(x))
}

/// Arc cosine in radians of a value that rounding may have pushed just outside -1 to 1.
#[inline]
#[must_use]
pub fn acos_clamped(x: f64) -> f64 {
    libm::acos(x.clamp(-1.0, 1.0))
}

/// Arc sine in radians of a value that rounding may have pushed just outside -1 to 1.
#[inline]
#[must_use]
pub fn asin_clamped(x: f64) -> f64 {
    libm::asin(x.clamp(-1.0, 1.0))
}
