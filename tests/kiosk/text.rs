//! Text has room at every size of text: none is cut off or leaves its plate, and what no longer fits scrolls.

use crate::hand::Hand;
use crate::targets::{on_every_page, on_every_page_of};
use slint::private_unstable_api::re_exports as inner;
use slint::{ComponentHandle, Model};
use witnessmark::kiosk::{LivePage, PhotosPage, StepPage};
use witnessmark::session::TextSize;

/// How much a text may lack for rounding, in pixels.
const SLACK: f32 = 1.5;

const SIZES: [TextSize; 2] = [TextSize::Usual, TextSize::Largest];

/// A text on the screen with what it needs and what it has.
struct Found {
    text: String,
    fault: String,
}

/// Walks all items of the window as the renderer does.
struct Looking {
    adapter: inner::WindowAdapterRc,
    height: f32,
    found: Vec<Found>,
}

impl Looking {
    fn at(hand: &Hand) -> Vec<Found> {
        let window = inner::WindowInner::from_pub(hand.easel.app.window());
        let mut looking = Looking {
            adapter: window.window_adapter(),
            height: hand.height,
            found: Vec::new(),
        };
        looking.below(&inner::ItemRc::new_root(window.component()), false, None);
        looking.found
    }

    fn below(&mut self, item: &inner::ItemRc, scrolls: bool, frame: Option<f32>) {
        let scrolls = scrolls || item.downcast::<inner::Flickable>().is_some();
        if let Some((text, wraps)) = text_of(item)
            && (scrolls || item.is_visible())
            && !text.is_empty()
        {
            let fault = self.fault(item, wraps, scrolls, frame);
            self.found.extend(fault.map(|fault| Found { text, fault }));
        }
        let own = frame_of(item);
        if let Some(foot) = own.filter(|foot| !scrolls && item.is_visible() && *foot > self.height + SLACK) {
            let fault = format!("is a frame that ends at {foot}, below the window");
            let text = String::new();
            self.found.push(Found { text, fault });
        }
        let frame = own.or(frame);
        let mut child = item.first_child();
        while let Some(item) = child {
            self.below(&item, scrolls, frame);
            child = item.next_sibling();
        }
    }

    /// What is wrong with the place of a text, if anything.
    fn fault(&self, item: &inner::ItemRc, wraps: bool, scrolls: bool, frame: Option<f32>) -> Option<String> {
        let size = item.geometry().size;
        if size.width <= 0.0 || size.height <= 0.0 {
            return None;
        }
        let wants = |orientation, across| {
            let info = item
                .borrow()
                .as_ref()
                .layout_info(orientation, across, &self.adapter, item);
            info.preferred
        };
        if !wraps {
            let wide = wants(inner::Orientation::Horizontal, -1.0);
            return (wide > size.width + SLACK).then(|| format!("wants {wide} across, has {}", size.width));
        }
        if let Some(word) = self.broken_word(item, size.width) {
            return Some(format!(
                "its longest word wants {word} across, has {}",
                size.width
            ));
        }
        let high = wants(inner::Orientation::Vertical, size.width);
        if high > size.height + SLACK {
            return Some(format!("wants {high} down, has {}", size.height));
        }
        let foot = item.map_to_window(item.geometry().origin).y + size.height;
        if let Some(frame) = frame.filter(|frame| foot > frame + SLACK) {
            return Some(format!("ends at {foot}, its frame at {frame}"));
        }
        (!scrolls && foot > self.height + SLACK).then(|| format!("ends at {foot}, below the window"))
    }
}

/// The least number of letters of a hash, which no line holds.
const HASH: usize = 32;

impl Looking {
    /// How wide the longest word of a text is, where it is wider than the lines and so is broken within.
    fn broken_word(&self, item: &inner::ItemRc, width: f32) -> Option<f32> {
        let text = item.downcast::<inner::ComplexText>()?;
        let text = text.as_pin_ref();
        let letters = text.text().to_string();
        if letters
            .split_whitespace()
            .any(|word| word.chars().count() >= HASH)
        {
            return None;
        }
        let widths = self.adapter.renderer().text_content_widths(text, item)?;
        let longest = widths.min.get();
        (longest > width + SLACK).then_some(longest)
    }
}

/// Where the frame of a plate or a sheet ends, where the item is one.
fn frame_of(item: &inner::ItemRc) -> Option<f32> {
    let plain = item.downcast::<inner::BasicBorderRectangle>();
    let framed = match plain {
        Some(frame) => frame.as_pin_ref().border_width().get() > 0.0,
        None => item
            .downcast::<inner::BorderRectangle>()
            .is_some_and(|frame| frame.as_pin_ref().border_width().get() > 0.0),
    };
    let place = item.geometry();
    (framed && place.size.height > 0.0).then(|| item.map_to_window(place.origin).y + place.size.height)
}

/// The text of an item and whether it wraps, where it is one.
fn text_of(item: &inner::ItemRc) -> Option<(String, bool)> {
    let wraps = |wrap| wrap != inner::TextWrap::NoWrap;
    if let Some(text) = item.downcast::<inner::SimpleText>() {
        let text = text.as_pin_ref();
        return Some((text.text().to_string(), false));
    }
    let text = item.downcast::<inner::ComplexText>()?;
    let text = text.as_pin_ref();
    Some((text.text().to_string(), wraps(text.wrap())))
}

/// What is known to be short. On the step's page a touch shows the whole of procedure and hazards. On the keypad what
/// a silent meter says loses its end at the largest size; a screen reader says all of it.
fn known_to_be_short(hand: &Hand) -> Vec<String> {
    let page = hand.easel.app.global::<StepPage>();
    let hazards = page.get_hazards();
    let hazards = hazards
        .iter()
        .map(|hazard| format!("{} {}", hazard.what, hazard.happens));
    let live = hand.easel.app.global::<LivePage>().get_says().to_string();
    // The line under a small picture ends where the picture does; the page of the picture says all of it.
    let photos = hand.easel.app.global::<PhotosPage>().get_rows();
    let photos: Vec<String> = photos
        .iter()
        .flat_map(|row| [row.label.to_string(), row.note.to_string()])
        .collect();
    let short = hazards
        .chain(photos)
        .chain([page.get_procedure(), page.get_strip_text()].map(String::from))
        .chain([live]);
    short.filter(|text| !text.is_empty()).collect()
}

#[test]
fn no_text_is_cut_off_at_any_size_of_text() {
    let mut hand = Hand::new(1280, 800);
    let cut = std::cell::RefCell::new(Vec::new());
    let texts = std::cell::Cell::new(0);
    let windows = [(1280, 800), (1024, 600)];
    for ((width, height), size) in windows
        .into_iter()
        .flat_map(|window| SIZES.map(|size| (window, size)))
    {
        hand.resize(width, height);
        hand.easel.set_text(f32::from(size.percent()) / 100.0);
        on_every_page(&hand, |name, hand| {
            texts.set(texts.get() + hand.labels().len());
            let whole = known_to_be_short(hand);
            for Found { text, fault } in Looking::at(hand) {
                if !text.is_empty() && whole.iter().any(|known| known.starts_with(&text)) {
                    continue;
                }
                let (percent, wide) = (size.percent(), hand.width);
                cut.borrow_mut().push(format!(
                    "{name} at {percent} percent, {wide} across: “{text}” {fault}"
                ));
            }
        });
    }
    assert!(texts.get() > 1000, "only {} texts were looked at", texts.get());
    let cut = cut.into_inner();
    assert!(cut.is_empty(), "{} texts: {cut:#?}", cut.len());
}

#[test]
#[ignore = "pictures of all pages at the largest text, to be looked at"]
fn pictures_of_large_text() {
    let hand = Hand::new(1280, 800);
    hand.easel.set_text(1.5);
    on_every_page_of(&hand, &|name: &str, hand: &Hand| {
        hand.keep_picture(&format!("large-{}", name.replace(' ', "-")))
    });
}
