//! Choices that a file writes as one word.

/// A type whose values are written as one word from a fixed list.
pub trait Word: Copy + Sized + 'static {
    /// What is chosen, for messages: `action`, `kind of surface`.
    const WHAT: &'static str;
    /// All values, in the order in which messages list them.
    fn all() -> &'static [Self];
    /// The word in the file.
    fn word(self) -> &'static str;
    /// The value for a word.
    fn from_word(word: &str) -> Option<Self> {
        Self::all().iter().copied().find(|value| value.word() == word)
    }
}

/// Declares an enum whose values are words of the file.
macro_rules! words {
    ($(#[$outer:meta])* $name:ident, $what:literal { $($(#[$doc:meta])* $variant:ident = $word:literal,)* }) => {
        $(#[$outer])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$doc])* $variant,)* }

        impl $crate::words::Word for $name {
            const WHAT: &'static str = $what;
            fn all() -> &'static [Self] {
                &[$($name::$variant,)*]
            }
            fn word(self) -> &'static str {
                match self { $($name::$variant => $word,)* }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str($crate::words::Word::word(*self))
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str($crate::words::Word::word(*self))
            }
        }
    };
}
pub(crate) use words;
