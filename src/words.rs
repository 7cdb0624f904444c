//! Enums whose variants have names that people type: parsed leniently, printed exactly.

/// Same word, whatever the case and whether parts are joined by spaces, hyphens or underscores.
pub(crate) fn same(a: &str, b: &str) -> bool {
    let plain = |s: &str| s.trim().chars().map(|c| if matches!(c, '-' | '_') { ' ' } else { c.to_ascii_lowercase() }).collect::<String>();
    plain(a) == plain(b)
}

/// Declares an enum with `ALL`, `name()`, `Display`, `FromStr` and serde by the same names.
macro_rules! words {
    ($(#[$doc:meta])* pub enum $Enum:ident: $what:literal { $($(#[$vdoc:meta])* $Variant:ident = $name:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
        #[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
        pub enum $Enum { $($(#[$vdoc])* #[serde(rename = $name)] $Variant),+ }

        impl $Enum {
            /// Every variant.
            pub const ALL: &'static [$Enum] = &[$($Enum::$Variant),+];

            /// The name, as files and messages have it.
            pub fn name(self) -> &'static str {
                match self { $($Enum::$Variant => $name),+ }
            }
        }

        impl std::fmt::Display for $Enum {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.name())
            }
        }

        impl std::str::FromStr for $Enum {
            type Err = $crate::Error;

            fn from_str(text: &str) -> $crate::Result<Self> {
                let known = Self::ALL.iter().copied().find(|v| $crate::words::same(v.name(), text));
                known.ok_or_else(|| {
                    let names: Vec<&str> = Self::ALL.iter().map(|v| v.name()).collect();
                    $crate::Error::unknown($what, text, &names)
                })
            }
        }
    };
}
pub(crate) use words;

#[cfg(test)]
mod tests {
    words! {
        /// For the test.
        pub enum Weather: "weather" {
            /// No rain.
            Fair = "fair",
            /// Rain at last.
            LightRain = "light_rain",
        }
    }

    #[test]
    fn case_and_joints_do_not_matter_and_unknown_words_are_refused() {
        for text in ["light_rain", " Light rain ", "LIGHT-RAIN"] {
            assert_eq!(text.parse::<Weather>().unwrap(), Weather::LightRain);
        }
        assert_eq!(Weather::ALL.len(), 2);
        assert_eq!(
            (Weather::Fair.to_string(), serde_json::to_string(&Weather::LightRain).unwrap()),
            ("fair".into(), "\"light_rain\"".into())
        );
        assert_eq!(
            "fare".parse::<Weather>().unwrap_err().to_string(),
            "weather \"fare\" is not known. Did you mean \"fair\"? Known: \"fair\", \"light_rain\"."
        );
    }
}
