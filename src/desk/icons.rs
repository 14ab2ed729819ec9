//! The drawn icons, embedded, tinted with the ink of the theme.

use egui::{Color32, Image, ImageSource, Vec2};

macro_rules! icons {
    ($($(#[$doc:meta])* $name:ident = $file:literal),+ $(,)?) => {
        /// A drawn icon.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum Icon { $($(#[$doc])* $name),+ }

        impl Icon {
            /// Every icon.
            pub const ALL: &'static [Self] = &[$(Self::$name),+];

            fn source(self) -> ImageSource<'static> {
                match self {
                    $(Self::$name => ImageSource::Bytes {
                        uri: concat!("bytes://footring/", $file).into(),
                        bytes: egui::load::Bytes::Static(include_bytes!(concat!("../../assets/icons/", $file))),
                    }),+
                }
            }
        }
    };
}

#[expect(missing_docs, reason = "each icon is named for what it shows")]
mod list {
    use super::{Color32, Image, ImageSource, Vec2};
    icons! {
        Add = "add.svg",
        Bench = "bench.svg",
        Box = "box.svg",
        Camera = "camera.svg",
        Close = "close.svg",
        Copy = "copy.svg",
        Crop = "crop.svg",
        Damage = "damage.svg",
        Dark = "dark.svg",
        Date = "date.svg",
        Daybook = "daybook.svg",
        Down = "down.svg",
        Edit = "edit.svg",
        Find = "find.svg",
        Folder = "folder.svg",
        HandleMissing = "handle-missing.svg",
        Help = "help.svg",
        KeyBook = "key-book.svg",
        Left = "left.svg",
        LidMissing = "lid-missing.svg",
        Light = "light.svg",
        Look = "look.svg",
        MarkDrawer = "mark-drawer.svg",
        Mark = "mark.svg",
        More = "more.svg",
        NewPiece = "new-piece.svg",
        Paste = "paste.svg",
        Print = "print.svg",
        PutInDaybook = "put-in-daybook.svg",
        Redo = "redo.svg",
        Remove = "remove.svg",
        Right = "right.svg",
        Rule = "rule.svg",
        TellApart = "tell-apart.svg",
        Tick = "tick.svg",
        Turn = "turn.svg",
        Undo = "undo.svg",
        Up = "up.svg",
        Warning = "warning.svg",
        WatchFolder = "watch-folder.svg",
        WholePiece = "whole-piece.svg",
        ZoomFit = "zoom-fit.svg",
        ZoomIn = "zoom-in.svg",
        ZoomOut = "zoom-out.svg",
    }

    impl Icon {
        /// The icon as an image of that size in points and that ink.
        pub fn image(self, size: f32, ink: Color32) -> Image<'static> {
            Image::new(self.source()).fit_to_exact_size(Vec2::splat(size)).tint(ink)
        }
    }
}

pub use list::Icon;
