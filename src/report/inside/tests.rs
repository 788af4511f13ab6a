use super::*;
use proptest::prelude::*;

/// The least file of our shape: one attachment, its stream, and the catalogue.
fn file_with(spec: &str, stream: &[u8], extra: &str) -> Vec<u8> {
    let mut pdf = b"%PDF-1.7\n".to_vec();
    let mut places = Vec::new();
    let root = "<</Type/Catalog/Names<</EmbeddedFiles<</Names[(a.txt)2 0 R]>>>>>>";
    for (number, body) in [root.as_bytes(), spec.as_bytes(), stream].into_iter().enumerate() {
        places.push(pdf.len());
        pdf.extend(format!("{} 0 obj\n", number + 1).into_bytes());
        pdf.extend(body);
        pdf.extend(b"\nendobj\n");
    }
    let table = pdf.len();
    pdf.extend(b"xref\n0 4\n0000000000 65535 f\r\n");
    for place in places {
        pdf.extend(format!("{place:010} 00000 n\r\n").into_bytes());
    }
    pdf.extend(format!("trailer\n<</Size 4/Root 1 0 R{extra}>>\nstartxref\n{table}\n%%EOF").into_bytes());
    pdf
}

const SPEC: &str = "<</Type/Filespec/F(a.txt)/UF(a.txt)/EF<</F 3 0 R/UF 3 0 R>>/Desc(x \\) y)>>";

fn stream(dict: &str, bytes: &[u8]) -> Vec<u8> {
    let mut stream = format!("<</Length {}{dict}>>\nstream\n", bytes.len()).into_bytes();
    stream.extend(bytes);
    stream.extend(b"\nendstream");
    stream
}

fn packed(bytes: &[u8]) -> Vec<u8> {
    let mut packed = Vec::new();
    let mut encoder = flate2::read::ZlibEncoder::new(bytes, flate2::Compression::best());
    encoder.read_to_end(&mut packed).expect("memory is enough");
    packed
}

fn refused(pdf: &[u8], part: &str) {
    let error = attachments(pdf).expect_err(part).to_string();
    assert!(error.contains(part), "`{error}` does not say `{part}`");
}

#[test]
fn plain_and_packed_streams_are_read() {
    let plain = file_with(SPEC, &stream("/Params<</Size 5>>", b"hello"), "");
    let deflated = packed(b"hello");
    let deflated = file_with(
        SPEC,
        &stream("/Filter/FlateDecode/Params<</Size 5>>", &deflated),
        "",
    );
    for pdf in [plain, deflated] {
        assert_eq!(
            attachments(&pdf),
            Ok(vec![("a.txt".to_owned(), b"hello".to_vec())])
        );
    }
}

#[test]
fn what_we_do_not_write_is_refused() {
    let good = stream("/Params<</Size 5>>", b"hello");
    refused(b"", "%PDF-1.7");
    refused(b"%PDF-1.7\n", "startxref");
    let mut appended = file_with(SPEC, &good, "");
    appended.extend(b"\n1 0 obj\nnull\nendobj\n");
    refused(&appended, "startxref");
    refused(&file_with(SPEC, &good, "/Prev 9"), "changed later");
    refused(&file_with(SPEC, &good, "/Encrypt 2 0 R"), "changed later");
    refused(
        &file_with(&SPEC.replace("/F(a.txt)", "/F(b.txt)"), &good, ""),
        "another name",
    );
    refused(
        &file_with(&SPEC.replace("/UF 3 0 R", "/UF 2 0 R"), &good, ""),
        "two streams",
    );
    refused(&file_with(&SPEC.replace("3 0 R", "9 0 R"), &good, ""), "object 9");
    refused(
        &file_with(SPEC, &stream("/Params<</Size 4>>", b"hello"), ""),
        "another size",
    );
    refused(
        &file_with(SPEC, &stream("/Filter/LZWDecode/Params<</Size 5>>", b"hello"), ""),
        "another way",
    );
    refused(
        &file_with(
            SPEC,
            &stream("/Filter/FlateDecode/Params<</Size 5>>", b"hello"),
            "",
        ),
        "unpacked",
    );
    refused(&file_with(&"[".repeat(5000), &good, ""), "nesting");
}

#[test]
fn a_stream_that_unpacks_to_more_than_allowed_is_refused() {
    let bomb = packed(&vec![0; MOST_BYTES + 1]);
    assert!(bomb.len() < 1_000_000);
    let size = MOST_BYTES + 1;
    let dict = format!("/Filter/FlateDecode/Params<</Size {size}>>");
    refused(&file_with(SPEC, &stream(&dict, &bomb), ""), "larger than");
}

proptest! {
    #[test]
    fn damaged_files_are_refused_or_read_but_never_panic(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..6),
        cut in any::<prop::sample::Index>(),
        whole in any::<bool>(),
    ) {
        let deflated = packed(b"hello");
        let mut pdf = file_with(SPEC, &stream("/Filter/FlateDecode/Params<</Size 5>>", &deflated), "");
        for (place, byte) in changes {
            let place = place.index(pdf.len());
            pdf[place] = byte;
        }
        if !whole {
            pdf.truncate(cut.index(pdf.len() + 1));
        }
        if let Ok(files) = attachments(&pdf) {
            prop_assert!(files.iter().all(|(_, bytes)| bytes.len() <= 5));
        }
    }

    #[test]
    fn any_bytes_are_refused(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        prop_assert!(attachments(&bytes).is_err());
    }
}
