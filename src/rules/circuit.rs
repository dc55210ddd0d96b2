//! Tables and factors of the circuit checks.

/// Tables and factors of the circuit checks (filled by the rule set).
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CircuitRules {}
