//! The user's folder for identities and known signers.

use std::path::PathBuf;

use etcetera::BaseStrategy;

use super::error::SealError;

/// The folder of this program in the user's configuration folder.
///
/// # Errors
/// [`SealError::NoFolder`] if the system has no configuration folder.
pub fn folder() -> Result<PathBuf, SealError> {
    let base = etcetera::choose_base_strategy().map_err(|_| SealError::NoFolder)?;
    Ok(base.config_dir().join("warmlug"))
}
