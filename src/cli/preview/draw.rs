//! Pages of steps as pictures.

use super::super::Stop;
use super::Arguments;
use crate::page::step::StepPage;
use crate::procedure::Library;

#[cfg(feature = "kiosk")]
pub(super) fn draw(arguments: &Arguments, library: &Library, pages: &[StepPage]) -> Result<(), Stop> {
    use crate::kiosk::{Around, Easel, Heading};
    use crate::page::Page;
    use crate::words::Words;
    let words = Words::program(&arguments.language);
    let failed = |error: crate::kiosk::PictureError| Stop::unusable(error.to_string(), "");
    // A 10-inch tablet.
    let easel = Easel::new(1280, 800).map_err(failed)?;
    easel.speak(&words);
    easel.set_night(arguments.night);
    for (place, page) in pages.iter().enumerate() {
        let heading = Heading {
            job: words.say("preview").to_owned(),
            ..Heading::default()
        };
        let around = Around {
            media: &|path| library.files.get(&format!("media/{path}")).cloned(),
            name: &|id| id.to_owned(),
            words: &words,
        };
        easel.show(&Page::Step(page.clone()), &heading, &around);
        keep(arguments, place, page, &easel.png().map_err(failed)?)?;
    }
    Ok(())
}

/// Writes a picture to where it shall go, and says where that is.
#[cfg(feature = "kiosk")]
fn keep(arguments: &Arguments, place: usize, page: &StepPage, png: &[u8]) -> Result<(), Stop> {
    let failed = |error: std::io::Error| {
        let where_to = arguments.out.display();
        Stop::unusable(
            format!("{where_to}: {error}"),
            "Name a place that can be written.",
        )
    };
    let path = match arguments.all {
        false => arguments.out.clone(),
        true => {
            std::fs::create_dir_all(&arguments.out).map_err(failed)?;
            arguments
                .out
                .join(format!("{:02}-{}.png", place + 1, page.step.step))
        }
    };
    std::fs::write(&path, png).map_err(failed)?;
    println!("{}", path.display());
    Ok(())
}

#[cfg(not(feature = "kiosk"))]
pub(super) fn draw(arguments: &Arguments, _: &Library, pages: &[StepPage]) -> Result<(), Stop> {
    let what = match (arguments.all, arguments.night) {
        (true, _) => format!("{} pages", pages.len()),
        (false, true) => "the page by night".to_owned(),
        (false, false) => "the page".to_owned(),
    };
    let out = arguments.out.display();
    Err(Stop::unusable(
        format!("{out}: this program was built without its screen and cannot draw {what}"),
        "Build it with the `kiosk` feature.",
    ))
}
