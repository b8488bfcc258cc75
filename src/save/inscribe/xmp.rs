//! The XMP packet (ISO 16684-1): the scan's own, with what is known of the picture over it.

use quick_xml::NsReader;
use quick_xml::escape::escape;
use quick_xml::events::{BytesStart, Event};
use quick_xml::name::{QName, ResolveResult};

use super::Inscription;

const RDF: &str = "http://www.w3.org/1999/02/22-rdf-syntax-ns#";
const DC: &str = "http://purl.org/dc/elements/1.1/";
const BASIC: &str = "http://ns.adobe.com/xap/1.0/";
const EDITORIAL: &str = "http://ns.adobe.com/photoshop/1.0/";
const IPTC: &str = "http://iptc.org/std/Iptc4xmpCore/1.0/xmlns/";
const EXIF: &str = "http://ns.adobe.com/exif/1.0/";
const EXIF_EX: &str = "http://cipa.jp/exif/1.0/";
const LENSES: &str = "http://ns.adobe.com/exif/1.0/aux/";
const HISTORY: &str = "http://ns.adobe.com/xap/1.0/mm/";
/// What the standards have no place for. A name that leads nowhere, as RFC 2606 keeps them.
const OWN: &str = "http://ns.dryside.invalid/notes/1.0/";

/// Prefixes as the standards write them.
const PREFIXES: [(&str, &str); 6] =
    [("dc", DC), ("xmp", BASIC), ("photoshop", EDITORIAL), ("Iptc4xmpCore", IPTC), ("exif", EXIF), ("dryside", OWN)];

/// What stands around a packet so that it is found in any file (XMP, part 1, 7.3.2).
const BEGIN: &str = "<?xpacket begin=\"\u{feff}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>";
const END: &str = "<?xpacket end=\"w\"?>";

/// A property: namespace, name, and how it is written.
struct Property<'a> {
    space: &'static str,
    name: &'a str,
    value: Value,
}

enum Value {
    Plain(String),
    /// A text in one language, the default one.
    Text(String),
    /// In order.
    List(Vec<String>),
    /// In any order.
    Bag(Vec<String>),
}

/// The scan's packet with what is known of the picture in place of what it says of that; a new one where there is none
/// or none that can be read.
pub(super) fn merged(of: &Inscription, scans: Option<&[u8]>) -> Vec<u8> {
    let properties = properties(of);
    let ours = description(&properties);
    let text = scans
        .and_then(|bytes| str::from_utf8(bytes).ok())
        .map(|text| text.trim_matches(['\0', '\u{feff}', ' ', '\n', '\r']));
    let anew = Anew { properties: &properties, personal: of.personal };
    let body = text.and_then(|text| over(text, &anew, &ours)).unwrap_or_else(|| {
        format!("<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"{RDF}\">\n{ours}</rdf:RDF></x:xmpmeta>")
    });
    format!("{BEGIN}\n{body}\n{END}").into_bytes()
}

fn properties(of: &Inscription) -> Vec<Property<'_>> {
    let text = |space, name, text: &Option<String>| {
        text.clone().map(|text| Property { space, name, value: Value::Text(text) })
    };
    let plain =
        |space, name, text: Option<String>| text.map(|text| Property { space, name, value: Value::Plain(text) });
    let standard = [
        text(DC, "title", &of.title),
        text(DC, "description", &of.caption),
        text(DC, "rights", &of.rights),
        of.creator.clone().map(|creator| Property { space: DC, name: "creator", value: Value::List(vec![creator]) }),
        (!of.keywords.is_empty()).then(|| Property {
            space: DC,
            name: "subject",
            value: Value::Bag(of.keywords.clone()),
        }),
        plain(BASIC, "Rating", of.rating.map(|rating| rating.to_string())),
        plain(EDITORIAL, "DateCreated", of.exposed.map(super::Moment::iso)),
        plain(IPTC, "Location", of.place.clone()),
    ];
    let own = of.own.iter().filter(|(name, _)| is_name(name));
    let own = own.map(|(name, text)| Property { space: OWN, name, value: Value::Plain(text.clone()) });
    standard.into_iter().flatten().chain(own).collect()
}

/// Whether it is a name as XML has them; of those few letters that all readers take.
fn is_name(name: &str) -> bool {
    name.starts_with(|c: char| c.is_ascii_alphabetic()) && name.bytes().all(|c| c.is_ascii_alphanumeric() || c == b'-')
}

/// One description of all properties.
fn description(properties: &[Property]) -> String {
    let used = PREFIXES.iter().filter(|(_, space)| properties.iter().any(|property| property.space == *space));
    let spaces: String = used.map(|(prefix, space)| format!(" xmlns:{prefix}=\"{space}\"")).collect();
    let mut text = format!("<rdf:Description xmlns:rdf=\"{RDF}\" rdf:about=\"\"{spaces}>\n");
    for Property { space, name, value } in properties {
        let prefix = PREFIXES.iter().find(|(_, known)| known == space).map_or("dryside", |(prefix, _)| prefix);
        let items =
            |all: &[String]| all.iter().map(|item| format!("<rdf:li>{}</rdf:li>", escaped(item))).collect::<String>();
        let inner = match value {
            Value::Plain(text) => escaped(text),
            Value::Text(text) => {
                format!("<rdf:Alt><rdf:li xml:lang=\"x-default\">{}</rdf:li></rdf:Alt>", escaped(text))
            }
            Value::List(all) => format!("<rdf:Seq>{}</rdf:Seq>", items(all)),
            Value::Bag(all) => format!("<rdf:Bag>{}</rdf:Bag>", items(all)),
        };
        text += &format!("<{prefix}:{name}>{inner}</{prefix}:{name}>\n");
    }
    text + "</rdf:Description>\n"
}

/// Text as XML takes it; what XML 1.0 (2.2) has no place for is left out.
fn escaped(text: &str) -> String {
    let allowed =
        |c: &char| matches!(c, '\t' | '\n' | '\r') || !c.is_control() && !matches!(c, '\u{fffe}' | '\u{ffff}');
    escape(text.chars().filter(allowed).collect::<String>()).into_owned()
}

/// The packet without the properties that are said anew, and with `ours` as its last description; nothing if it is
/// none.
fn over(packet: &str, anew: &Anew<'_>, ours: &str) -> Option<String> {
    let mut reader = NsReader::from_str(packet);
    let mut kept = String::with_capacity(packet.len() + ours.len());
    // The names of the open elements, as far as they matter.
    let mut open: Vec<Place> = Vec::new();
    let mut closed = false;
    loop {
        let event = reader.read_event().ok()?;
        // What stands around the packet is written anew; a document type would let it grow without end.
        match event {
            Event::Eof => break,
            Event::DocType(_) => return None,
            Event::PI(_) | Event::Decl(_) | Event::Comment(_) if open.is_empty() => continue,
            Event::Text(_) if open.is_empty() => continue,
            Event::Start(ref start) => {
                let place = Place::of(&reader, start, open.last());
                if place == Place::Property && anew.leaves(&reader, start.name(), true) {
                    reader.read_to_end(start.name()).ok()?;
                    continue;
                }
                kept += &format!("<{}>", rebuilt(&reader, start, place, anew)?);
                open.push(place);
            }
            Event::Empty(ref start) => {
                let place = Place::of(&reader, start, open.last());
                if place == Place::Property && anew.leaves(&reader, start.name(), true) {
                    continue;
                }
                if place == Place::Rdf {
                    kept +=
                        &format!("<{}>\n{ours}</{}>", start.name().into_inner().trim_end(), start.name().into_inner());
                    closed = true;
                    continue;
                }
                kept += &format!("<{}/>", rebuilt(&reader, start, place, anew)?);
            }
            Event::End(ref end) => {
                if open.pop()? == Place::Rdf && !closed {
                    kept += ours;
                    closed = true;
                }
                kept += &format!("</{}>", end.name().into_inner());
            }
            Event::Text(text) => kept += &text.into_inner(),
            Event::CData(text) => kept += &format!("<![CDATA[{}]]>", text.into_inner()),
            Event::GeneralRef(reference) => kept += &format!("&{};", reference.into_inner()),
            Event::Comment(_) | Event::PI(_) | Event::Decl(_) => {}
        }
    }
    (closed && open.is_empty()).then_some(kept)
}

/// Where an element stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Place {
    /// Around the statements.
    Around,
    /// It holds the statements.
    Rdf,
    /// A description of the picture.
    Description,
    /// A property of it.
    Property,
    /// Inside a property.
    Inside,
}

impl Place {
    fn of(reader: &NsReader<&[u8]>, start: &BytesStart<'_>, within: Option<&Self>) -> Self {
        let (space, name) = reader.resolver().resolve_element(start.name());
        let rdf = matches!(space, ResolveResult::Bound(space) if space.into_inner() == RDF);
        match within {
            None | Some(Self::Around) if rdf && name.into_inner() == "RDF" => Self::Rdf,
            None | Some(Self::Around) => Self::Around,
            Some(Self::Rdf) if rdf && name.into_inner() == "Description" => Self::Description,
            Some(Self::Description) => Self::Property,
            Some(Self::Rdf | Self::Property | Self::Inside) => Self::Inside,
        }
    }
}

/// What of a scan's packet does not go on.
struct Anew<'a> {
    properties: &'a [Property<'a>],
    personal: bool,
}

impl Anew<'_> {
    /// Whether an element or an attribute is said anew, or is personal and not wanted: places, serial numbers and
    /// owners, and the history of the file, which names programs and folders.
    fn leaves(&self, reader: &NsReader<&[u8]>, name: QName<'_>, element: bool) -> bool {
        let resolver = reader.resolver();
        let (space, name) = if element { resolver.resolve_element(name) } else { resolver.resolve_attribute(name) };
        let ResolveResult::Bound(space) = space else { return false };
        let (space, name) = (space.into_inner(), name.into_inner());
        let anew = self.properties.iter().any(|property| (property.space, property.name) == (space, name));
        let personal = match space {
            EXIF => name.starts_with("GPS") || name == "UserComment" || name == "ImageUniqueID",
            LENSES => name.contains("SerialNumber") || name == "OwnerName",
            EXIF_EX => name.contains("SerialNumber") || name == "CameraOwnerName",
            HISTORY => true,
            _ => false,
        };
        anew || personal && !self.personal
    }
}

/// An element's name and attributes, of a description those that stay.
fn rebuilt(reader: &NsReader<&[u8]>, start: &BytesStart<'_>, place: Place, anew: &Anew<'_>) -> Option<String> {
    let name = start.name().into_inner();
    if place != Place::Description {
        return Some(format!("{name}{}", start.attributes_raw()));
    }
    let mut text = name.to_owned();
    for attribute in start.attributes() {
        let attribute = attribute.ok()?;
        if !anew.leaves(reader, attribute.key, false) {
            // A quote of either kind may stand in a value that the other kind holds.
            let value = attribute.value.replace('"', "&quot;");
            text += &format!(" {}=\"{value}\"", attribute.key.into_inner());
        }
    }
    Some(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::save::inscribe::Moment;

    const SCANS: &str = r#"<?xpacket begin="" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><r:RDF xmlns:r="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<r:Description r:about="" xmlns:d="http://purl.org/dc/elements/1.1/" xmlns:e="http://ns.adobe.com/exif/1.0/"
  xmlns:shop="http://shop.invalid/" e:GPSLatitude="47,3.2N" shop:shelf='a "far" one'>
<d:title><r:Alt><r:li xml:lang="x-default">old &amp; worn</r:li></r:Alt></d:title>
<d:description><r:Alt><r:li xml:lang="x-default">a coil</r:li></r:Alt></d:description>
<shop:price>3 &lt; 4<shop:title>inner</shop:title></shop:price><e:GPSLongitude>8,33E</e:GPSLongitude>
</r:Description></r:RDF></x:xmpmeta><?xpacket end="w"?>"#;

    fn inscription() -> Inscription {
        Inscription {
            title: Some("Coil & \"keg\" <new>\u{7}".into()),
            keywords: vec!["rope".into(), "tar".into()],
            exposed: Some(Moment { year: 2026, month: Some(3), day: None, time: None }),
            own: vec![("film".into(), "sheet film".into()), ("1 no name".into(), "lost".into())],
            ..Inscription::default()
        }
    }

    #[test]
    fn what_others_wrote_stays_and_what_is_said_anew_stands_once() {
        let text = String::from_utf8(merged(&inscription(), Some(SCANS.as_bytes()))).unwrap();
        assert!(!text.contains("old &amp; worn") && !text.contains("GPS"), "{text}");
        for kept in ["a coil", "3 &lt; 4<shop:title>inner</shop:title>", "a &quot;far&quot; one"] {
            assert!(text.contains(kept), "{kept}: {text}");
        }
        for said in
            ["Coil &amp; &quot;keg&quot; &lt;new&gt;</rdf:li>", "<rdf:li>tar</rdf:li>", ">2026-03<", ">sheet film<"]
        {
            assert_eq!(text.matches(said).count(), 1, "{said}: {text}");
        }
        assert_eq!((text.matches("<?xpacket").count(), text.matches("RDF").count()), (2, 2));
        // Once more, and nothing changes.
        assert_eq!(
            String::from_utf8(merged(&inscription(), Some(text.as_bytes()))).unwrap().matches("sheet film").count(),
            1
        );
    }

    #[test]
    fn a_packet_that_cannot_be_read_gives_way_to_a_new_one() {
        let bomb = "<!DOCTYPE a [<!ENTITY b \"cc\">]><a/>";
        let cut = &SCANS[..SCANS.len() - 60];
        for scans in [None, Some("no packet"), Some(cut), Some(bomb), Some("<a><b></a>"), Some("")] {
            let text = String::from_utf8(merged(&inscription(), scans.map(str::as_bytes))).unwrap();
            assert!(text.contains("sheet film") && !text.contains("a coil") && !text.contains("ENTITY"), "{text}");
            assert!(text.starts_with(BEGIN) && text.ends_with(END));
        }
    }
}
