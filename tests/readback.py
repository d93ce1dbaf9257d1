"""Read the bar codes of label pages back, at the printer's own resolution."""

import pypdfium2
import zxingcpp

POINTS_IN_INCH = 72


def codes_on_pages(pdf: bytes, dpi: int) -> list[set[tuple[str, str]]]:
    """Give symbology identifier and text of every code, page by page."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [_codes(document, number, dpi) for number in range(len(document))]
    finally:
        document.close()


def _codes(document: pypdfium2.PdfDocument, number: int, dpi: int) -> set[tuple[str, str]]:
    page = document[number]
    image = page.render(scale=dpi / POINTS_IN_INCH, grayscale=True).to_pil()
    page.close()
    found = zxingcpp.read_barcodes(image)
    return {(each.symbology_identifier, each.text) for each in found}


def text_of_pages(pdf: bytes) -> list[str]:
    """Give the text of every page."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [_text(document, number) for number in range(len(document))]
    finally:
        document.close()


def _text(document: pypdfium2.PdfDocument, number: int) -> str:
    page = document[number]
    text = page.get_textpage()
    said = str(text.get_text_bounded()).replace("\r\n", "\n")
    text.close()
    page.close()
    return said
