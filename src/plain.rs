//! Checked types that are read and written as the plain input they are made from.

/// `plain!(Checked: Input, |input| checked?, |checked| input)` gives what `#[serde(try_from = "Input", into = "Input")]`
/// asks for: reading checks as the constructor does.
macro_rules! plain {
    ($Checked:ty: $Input:ty, |$input:ident| $check:expr, |$checked:ident| $back:expr) => {
        impl TryFrom<$Input> for $Checked {
            type Error = $crate::Error;

            fn try_from($input: $Input) -> $crate::Result<Self> {
                $check
            }
        }

        impl From<$Checked> for $Input {
            fn from($checked: $Checked) -> Self {
                $back
            }
        }
    };
}
pub(crate) use plain;
