//! Enums whose variants have names that people type: parsed leniently, printed exactly.

/// Same word, whatever the case and whether parts are joined by spaces, hyphens or underscores.
pub(crate) fn same(a: &str, b: &str) -> bool {
    let plain = |s: &str| s.trim().chars().map(|c| if matches!(c, '-' | '_') { ' ' } else { c.to_ascii_lowercase() }).collect::<String>();
    plain(a) == plain(b)
}

/// Declares an enum with `ALL`, `name()`, `Display`, `FromStr` and serde by the same names. Behind a name, further
/// spellings may stand (`"name" | "alias"`); they are read, in files too, and never written.
macro_rules! words {
    ($(#[$doc:meta])* pub enum $Enum:ident: $what:literal {
        $($(#[$vdoc:meta])* $Variant:ident = $name:literal $(| $alias:literal)*),+ $(,)?
    }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
        pub enum $Enum { $($(#[$vdoc])* #[cfg_attr(feature = "schema", schemars(rename = $name))] $Variant),+ }

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
                f.pad(self.name())
            }
        }

        impl std::str::FromStr for $Enum {
            type Err = $crate::Error;

            fn from_str(text: &str) -> $crate::Result<Self> {
                let spellings: &[(&str, $Enum)] = &[$(($name, $Enum::$Variant), $(($alias, $Enum::$Variant),)*)+];
                let known = spellings.iter().find(|(name, _)| $crate::words::same(name, text));
                known.map(|(_, variant)| *variant).ok_or_else(|| {
                    let typed: Vec<&str> = spellings.iter().map(|(name, _)| *name).collect();
                    let names: Vec<&str> = Self::ALL.iter().map(|v| v.name()).collect();
                    $crate::Error::unknown_spelling($what, text, &typed, &names)
                })
            }
        }

        impl serde::Serialize for $Enum {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> std::result::Result<S::Ok, S::Error> {
                serializer.serialize_str(self.name())
            }
        }

        impl<'de> serde::Deserialize<'de> for $Enum {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> std::result::Result<Self, D::Error> {
                let text = <String as serde::Deserialize>::deserialize(deserializer)?;
                text.parse().map_err(serde::de::Error::custom)
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
            LightRain = "light_rain" | "drizzle",
        }
    }

    #[test]
    fn case_and_joints_do_not_matter_and_unknown_words_are_refused() {
        for text in ["light_rain", " Light rain ", "LIGHT-RAIN"] {
            assert_eq!(text.parse::<Weather>().unwrap(), Weather::LightRain);
        }
        assert_eq!("Drizzle".parse::<Weather>().unwrap(), Weather::LightRain);
        assert_eq!(serde_json::from_str::<Weather>("\"DRIZZLE\"").unwrap(), Weather::LightRain);
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
