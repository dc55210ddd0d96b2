//! Resistance of a connection from the voltage across it under load.
//!
//! The usual resistance of a connection depends on its make and size and is not published, so the
//! useful number is the ratio to the sister connection on another leg of the same device under the
//! same current.

use crate::quantity::{Current, Power, Voltage};

/// Voltage across a connection and the current through it, with standard uncertainties.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drop {
    /// Voltage across the connection.
    pub voltage: Voltage,
    /// Its standard uncertainty.
    pub u_voltage: Voltage,
    /// Current through it.
    pub current: Current,
    /// Its standard uncertainty.
    pub u_current: Current,
}

/// Resistance of a connection and the heat made in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contact {
    /// R = V/I, ohm.
    pub ohm: f64,
    /// Standard uncertainty of R, ohm.
    pub u_ohm: f64,
    /// P = I²·R = V·I.
    pub power: Power,
    /// Standard uncertainty of P.
    pub u_power: Power,
}

/// Resistance and power from a voltage drop; `None` unless the current is positive, the drop is not
/// negative, and all values are finite.
///
/// First order (JCGM 100:2008, 5.1.2): both relative uncertainties are combined, in the same way
/// for R and for P, as R is a quotient and P a product of the same two numbers.
pub fn contact(drop: &Drop) -> Option<Contact> {
    let (v, uv) = (drop.voltage.volt(), drop.u_voltage.volt());
    let (i, ui) = (drop.current.ampere(), drop.u_current.ampere());
    if !(i > 0.0 && i.is_finite() && v >= 0.0 && v.is_finite()) {
        return None;
    }
    let ohm = v / i;
    let u_ohm = libm::hypot(uv, ohm * ui) / i;
    let (watt, u_watt) = (v * i, libm::hypot(i * uv, v * ui));
    [ohm, u_ohm, watt, u_watt]
        .iter()
        .all(|x| x.is_finite())
        .then_some(Contact {
            ohm,
            u_ohm,
            power: Power::from_watt(watt),
            u_power: Power::from_watt(u_watt),
        })
}

/// Ratio of a resistance to its sister's, with its standard uncertainty; `None` if the sister's is
/// zero.
pub fn ratio(this: &Contact, sister: &Contact) -> Option<(f64, f64)> {
    if sister.ohm.is_nan() || sister.ohm <= 0.0 {
        return None;
    }
    let q = this.ohm / sister.ohm;
    let u = libm::hypot(this.u_ohm, q * sister.u_ohm) / sister.ohm;
    (q.is_finite() && u.is_finite()).then_some((q, u))
}
