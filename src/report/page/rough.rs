//! The rough plugs of which the job gives a scan: what is to be filled and taken off, and where.

use base64::Engine;
use base64::engine::general_purpose::STANDARD as BASE64;
use maud::{Markup, html};

use super::figure::{At, figure};
use crate::geometry::rough::Rough;
use crate::plan::Plan;
use crate::report::stills::rough::{colour, pictures, scale_mm};

/// A block for each of them.
pub fn blocks(plan: &Plan) -> Markup {
    let parts = At::root().key("parts");
    html! {
        @for (index, part) in plan.parts.iter().enumerate() {
            @if let Some(rough) = &part.rough { (block(&part.name, rough, &parts.item(index).key("rough"))) }
        }
    }
}

fn block(name: &str, rough: &Rough, at: &At) -> Markup {
    let most_mm = scale_mm(rough);
    html! {
        h3 { "The rough plug of " bdi { (name) } " beside the skin" }
        p {
            "To fill: " (figure(rough.fill_ml, 0, &at.key("fill_ml"))) " ml under "
            (figure(rough.fill_m2, 2, &at.key("fill_m2"))) " m2. To take off: "
            (figure(rough.take_off_ml, 0, &at.key("take_off_ml"))) " ml over "
            (figure(rough.take_off_m2, 2, &at.key("take_off_m2"))) " m2. Volumes between the scan and the skin, without what is lost in sanding. "
            "No scan beside " (figure(rough.unseen_m2, 3, &at.key("unseen_m2"))) " m2."
        }
        p {
            @if let Some((mm, _)) = rough.deepest { "Deepest hollow " (figure(mm, 1, &at.key("deepest").key("mm"))) " mm. " }
            @if let Some((mm, _)) = rough.highest { "Highest hump " (figure(mm, 1, &at.key("highest").key("mm"))) " mm. " }
            "Measured from points " (figure(rough.step_mm, 1, &at.key("step_mm"))) " mm apart, up to "
            (figure(rough.reach_mm, 0, &at.key("reach_mm"))) " mm off the skin."
        }
        @if !rough.places.is_empty() { (places(name, rough, &at.key("places"))) }
        @for picture in pictures(rough) {
            figure {
                img src={ "data:image/png;base64," (BASE64.encode(&picture.png)) } width=(picture.width_px) height=(picture.height_px)
                    style="max-width:100%;height:auto" loading="lazy" decoding="async"
                    alt={ "The rough plug of " (name) " " (picture.view) ", orange where it lies low and purple where it stands proud." };
                figcaption {
                    (picture.view) ": orange lies low and is filled, white fits, purple stands proud and is taken off; the scale ends at "
                    (format!("{most_mm:.1}")) " mm either way. "
                    @for share in [-1.0, -0.5, 0.0, 0.5, 1.0] {
                        @let [red, green, blue] = colour(share * most_mm, most_mm);
                        span style={ "display:inline-block;width:1.2em;height:.8em;border:1px solid;background:rgb(" (red) "," (green) "," (blue) ")" } {}
                        " " (format!("{:+.1}", share * most_mm)) " "
                    }
                }
            }
        }
    }
}

fn places(name: &str, rough: &Rough, at: &At) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label={ "Where the plug of " (name) " is filled" } {
            table {
                caption { "Where most filler goes" }
                thead { tr {
                    th.number scope="col" { "x mm" } th.number scope="col" { "y mm" } th.number scope="col" { "z mm" }
                    th.number scope="col" { "filler ml" } th.number scope="col" { "deepest mm" }
                } }
                tbody {
                    @for (index, place) in rough.places.iter().enumerate() {
                        @let at = at.item(index);
                        tr {
                            @for axis in 0..3 { td.number { (figure(place.at_mm[axis], 0, &at.key("at_mm").item(axis))) } }
                            td.number { (figure(place.fill_ml, 0, &at.key("fill_ml"))) }
                            td.number { (figure(place.deepest_mm, 1, &at.key("deepest_mm"))) }
                        }
                    }
                }
            }
        }
    }
}
