"""Every trap that artwork is known to hold has its tests: their list, and those that stand nowhere else."""

from __future__ import annotations

import gzip
import importlib
import io
import time
import zipfile
import zlib
from pathlib import Path

import numpy as np
import pytest

from intake.facts import Alpha, Ask, PrintSize
from intake.measure import measure_ink
from intake.reading import kind_of, open_artwork
from tests.intake.reading.pdf_drawing import Drawing
from tests.intake.reading.raster_drawing import LIMITS, SHORT, alpha_counts, exif, pixels_of, png
from tests.intake.reading.svg_drawing import svg
from tests.intake.reading.test_psd import GREY, Psd, opened, pixels
from tickets.problems import ArtworkRefused

# The trap, and the tests that hold its right answer: "module: function, function; module: …" in this folder.
TRAPS = {
    "PNG pHYs of an unknown unit, in metres, not square": (
        "test_stored_ppi: test_phys_is_pixels_a_metre_or_a_shape;"
        "test_made_rasters: test_each_trap_is_read_as_its_standard_says"
    ),
    "resolution of 0, 0/0, or none at all": (
        "test_made_rasters: test_each_trap_is_read_as_its_standard_says;"
        "test_stored_ppi: test_jfif_density_by_its_unit, test_exif_and_tiff_tags_say_the_same"
    ),
    "TIFF unit none, missing, cm": "test_stored_ppi: test_exif_and_tiff_tags_say_the_same",
    "JFIF unit 0, cm": "test_stored_ppi: test_jfif_density_by_its_unit",
    "EXIF alone, its units, X other than Y": (
        "test_stored_ppi: test_exif_and_tiff_tags_say_the_same,"
        "test_a_png_may_state_its_resolution_in_exif_too"
    ),
    "8BIM alone": (
        "test_stored_ppi: test_photoshops_own_resource_is_always_pixels_an_inch,"
        "test_a_long_resource_block_goes_on_in_the_next_segment"
    ),
    "sources that disagree": "test_stored_ppi: test_sources_that_disagree_are_a_conflict",
    "pixels that are not square": (
        "test_raster_pixels: test_pixels_that_are_not_square_are_made_square_for_measuring;"
        "test_stored_ppi: test_a_shape_of_pixels_that_no_scanner_makes_is_a_slip"
    ),
    "orientation 5 to 8": (
        "test_raster_pixels: test_a_turned_picture_comes_out_upright_once,"
        "test_a_turned_jpeg_swaps_size_and_both_resolutions;"
        "test_stored_ppi: test_a_quarter_turn_swaps_both_and_two_give_it_back"
    ),
    "orientation in a text chunk": "test_traps: test_orientation_in_a_text_chunk_is_heeded_and_told",
    "alpha that is fully opaque": "test_traps: test_an_alpha_channel_that_hides_nothing_is_called_opaque",
    "binary and soft alpha, faint at 16 bits": (
        "test_raster_pixels: test_sixteen_bit_transparency_is_judged_at_sixteen_bits;"
        "test_psd: test_faint_alpha_of_16_bits_stays_neither_clear_nor_solid"
    ),
    "grey and RGB colour keys": (
        "test_raster_pixels: test_a_colour_key_of_sixteen_bits_matches_exactly,"
        "test_a_grey_colour_key_uses_only_the_bits_of_its_depth"
    ),
    "TIFF alpha, associated or not": (
        "test_raster_pixels: test_premultiplied_colours_are_told_straight,"
        "test_the_same_samples_unassociated_stay_as_they_are"
    ),
    "TIFF extra samples undeclared, or a spot plate": (
        "test_made_rasters: test_each_trap_is_read_as_its_standard_says"
    ),
    "CMYK with alpha": "test_raster_pixels: test_cmyk_with_transparency_keeps_both",
    "CMYK JPEG, its marker, a profile for another space": (
        "test_raster_pixels: test_a_cmyk_jpeg_with_an_adobe_marker_is_not_inverted,"
        "test_a_profile_for_another_kind_of_colour_is_left_aside_and_named"
    ),
    "PSD alpha or saved mask": (
        "test_psd: test_an_extra_channel_is_transparency_only_by_the_sign_of_the_layer_count,"
        "test_the_small_files; test_traps: test_psd_gray_alpha_neg_is_soft_grey_at_300_ppi"
    ),
    "animation, pages, a loop of directories": (
        "test_raster_pixels: test_of_an_animation_the_first_picture_is_looked_at,"
        "test_each_page_of_a_tiff_is_its_own_picture;"
        "test_refused_files: test_a_chain_of_pages_that_bites_its_tail_ends"
    ),
    "a GIF frame smaller than its canvas": (
        "test_raster_pixels: test_a_gif_frame_smaller_than_its_canvas_leaves_the_rest_clear"
    ),
    "bombs": (
        "test_refused_files: test_a_bomb_is_refused_from_its_header,"
        "test_a_gif_whose_frame_bursts_its_canvas_is_a_bomb;"
        "test_heif: test_a_bomb_is_refused_from_its_boxes, test_a_bomb_among_the_tiles_is_refused"
    ),
    "cut short, broken data": (
        "test_refused_files: test_a_file_that_was_cut_short_is_refused,"
        "test_a_file_whose_second_half_is_zeros_is_refused, test_broken_bytes_in_a_png_are_refused"
    ),
    "wrong ending, two kinds in one": (
        "test_refused_files: test_a_wrong_ending_is_a_remark_and_no_more;"
        "test_traps: test_the_first_bytes_decide_whatever_follows;"
        "test_svg_sizes: test_size_and_picture_of_a_compressed_drawing"
    ),
    "PDF page size": "test_pdf_pages: test_a_page_is_as_large_as_viewers_show_it",
    "effective resolution through the matrix": (
        "test_pdf_images: test_six_matrices;test_pdf_matrix: test_a_skewed_image_is_worse_than_both_its_edges"
    ),
    "images in forms, patterns, stamps, soft masks, inline": (
        "test_pdf_images: test_each_trap_has_its_answer, test_an_image_in_a_pattern_counts,"
        "test_an_image_in_a_soft_mask_counts, test_an_inline_image_and_a_stencil_count"
    ),
    "listed and not painted, painted twice": (
        "test_pdf_images: test_an_image_that_nobody_sees_does_not_count,"
        "test_the_lower_of_two_placements_comes_first"
    ),
    "stencil or soft mask of another size": "test_pdf_images: test_each_trap_has_its_answer",
    "hairlines, scaled strokes": (
        "test_pdf_lines: test_a_stroke_is_as_thin_as_its_matrix_makes_it, test_user_unit_widens_lines"
    ),
    "fills as lines": (
        "test_pdf_lines: test_thin_filled_bars_are_lines, test_a_filled_bar_is_as_thin_at_any_angle"
    ),
    "PDF transparency": (
        "test_pdf_picture: test_no_paint_is_no_coverage, test_a_white_box_is_opaque,"
        "test_half_transparent_paint_is_half_covered"
    ),
    "encrypted": "test_pdf_pages: test_a_blank_password_opens, test_a_real_password_is_asked_for",
    "damage, loops, no pages": (
        "test_pdf_pages: test_a_loop_of_pages_ends, test_a_loop_of_older_versions_ends,"
        "test_a_file_without_pages_is_refused, test_a_cut_off_file_is_mended_and_said_so;"
        "test_pdf_tokens: test_an_inline_image_without_end_ends_with_the_stream"
    ),
    "content bombs": (
        "test_pdf_images: test_a_content_bomb_is_refused;"
        "test_pdf_pages: test_a_bomb_among_the_objects_is_refused"
    ),
    "forms to be filled in": "test_pdf_pages: test_a_form_says_that_it_is_one",
    "codings without a decoder": "test_pdf_images: test_undecodable_images_are_measured_by_their_dictionary",
    "SVG size": (
        "test_svg_sizes: test_a_stated_size_is_what_its_unit_says,"
        "test_without_a_physical_size_only_the_shape_is_told, test_a_size_that_shows_nothing_is_refused"
    ),
    "SVG strokes": (
        "test_svg_lines: test_a_stroke_is_as_wide_as_everything_over_it_makes_it,"
        "test_shares_are_of_the_diagonal"
    ),
    "SVG from outside, scripts, entities": (
        "test_svg_safety: test_a_file_beside_the_drawing_is_not_read_but_told_by_name,"
        "test_scripts_and_movement_are_left_out_and_told, test_an_outside_entity_is_not_read,"
        "test_entities_of_drawing_programs_are_put_in"
    ),
    "SVG explosions": (
        "test_svg_safety: test_an_explosion_is_refused_before_it_is_drawn;"
        "test_traps: test_bug515_pattern_billion_laughs, test_bug515_too_many_elements"
    ),
}


@pytest.mark.parametrize("trap", TRAPS)
def test_every_trap_has_its_tests(trap: str) -> None:
    """What the list names is there and is run."""
    for part in TRAPS[trap].split(";"):
        module, _, names = part.partition(":")
        found = importlib.import_module(f"tests.intake.reading.{module.strip()}")
        for name in names.split(","):
            assert callable(getattr(found, name.strip(), None)), name


def test_psd_gray_alpha_neg_is_soft_grey_at_300_ppi(tmp_path: Path) -> None:
    """Grey with one channel more, and one layer counted as -1: 8 clear, 4 half clear and 4 solid pixels."""
    alpha = np.array([[0] * 4, [0] * 4, [128] * 4, [255] * 4])
    grey = 255 - alpha  # black, laid on white as its cover has it
    document = opened(Psd([grey, alpha], mode=GREY, layers=-1), tmp_path)
    artwork = document.artwork
    assert (artwork.colour, artwork.has_alpha, artwork.stored_ppi) == ("grey", True, (300, 300))
    seen = pixels(document)
    assert alpha_counts(seen) == (8, 4, 4)
    assert (seen[2:, :, :3] == 0).all()
    assert not any("more channel" in note for note in artwork.notes)


def pattern_of_patterns(levels: int) -> str:
    """Shapes filled with a pattern of shapes filled with …, each reached through one that inherits it."""
    body = '<pattern id="a0" width="1" height="1"><rect width="1" height="1" fill="lime"/></pattern>'
    for level in range(1, levels + 1):
        rects = f'<rect width=".1" height=".1" fill="url(#b{level - 1})"/>' * 8
        shape = 'width="1" height="1" patternContentUnits="objectBoundingBox"'
        body += f'<pattern id="a{level}" {shape}>{rects}</pattern>'
    links = "".join(f'<pattern id="b{level}" xlink:href="#a{level}"/>' for level in range(levels + 1))
    return svg(f'{body}{links}<rect width="90" height="90" fill="url(#b{levels})"/>')


def test_bug515_pattern_billion_laughs(tmp_path: Path) -> None:
    """8 to the 17th shapes in three kilobytes: refused at once, though renderers draw on for ages."""
    (tmp_path / "a.svg").write_text(pattern_of_patterns(17), "utf-8")
    began = time.process_time()
    with pytest.raises(ArtworkRefused) as told:
        open_artwork(tmp_path / "a.svg", 1, LIMITS)
    assert told.value.slug == "drawing-too-involved"
    assert time.process_time() - began < 5
    (tmp_path / "b.svg").write_text(pattern_of_patterns(2), "utf-8")
    drawn = open_artwork(tmp_path / "b.svg", 1, LIMITS)  # a few of them are an ordinary drawing
    assert drawn.artwork.kind == "SVG"
    drawn.close()


def test_bug515_too_many_elements(tmp_path: Path) -> None:
    """A million empty groups, packed into a few kilobytes."""
    packed = gzip.compress(svg("<g/>" * 1_000_000).encode())
    assert len(packed) < 20_000
    (tmp_path / "a.svgz").write_bytes(packed)
    began = time.process_time()
    with pytest.raises(ArtworkRefused) as told:
        open_artwork(tmp_path / "a.svgz", 1, LIMITS)
    assert told.value.slug == "drawing-too-involved"
    assert time.process_time() - began < 5


@pytest.mark.parametrize("chunk", [b"tEXt", b"zTXt"])
def test_orientation_in_a_text_chunk_is_heeded_and_told(chunk: bytes, tmp_path: Path) -> None:
    """EXIF in hexadecimal digits, as some converters write it: turned upright once, and said so."""
    block = b"Exif\0\0" + exif((274, SHORT, 6))
    text = b"\nexif\n%8d\n" % len(block) + block.hex().encode() + b"\n"
    body = b"Raw profile type exif\0" + (b"\0" + zlib.compress(text) if chunk == b"zTXt" else text)
    (tmp_path / "a.png").write_bytes(png(4, 2, 8, 0, bytes(range(8)), (chunk, body)))
    turned = open_artwork(tmp_path / "a.png", 1, LIMITS)
    assert turned.artwork.pixels == (2, 4)
    assert pixels_of(turned)[..., 0].tolist() == [[4, 0], [5, 1], [6, 2], [7, 3]]
    assert any("many programs do not heed" in note for note in turned.artwork.notes)


def test_an_alpha_channel_that_hides_nothing_is_called_opaque(tmp_path: Path) -> None:
    """There is a channel, and nothing is transparent: neither "none" nor "hard"."""
    (tmp_path / "a.png").write_bytes(png(8, 8, 8, 6, bytes([9, 9, 9, 255]) * 64))
    art = open_artwork(tmp_path / "a.png", 1, LIMITS)
    assert art.artwork.has_alpha
    assert measure_ink(art.pixels_at(PrintSize(8.0, 8.0)), 1.0, Ask()).alpha is Alpha.OPAQUE


def test_the_first_bytes_decide_whatever_follows(tmp_path: Path) -> None:
    """A zip hangs behind a page and behind a picture; each is still what it begins as."""
    behind = io.BytesIO()
    with zipfile.ZipFile(behind, "w") as pack:
        pack.writestr("order.json", "{}")
    page = Drawing("0 0 9 9 re f").write(tmp_path / "a.pdf").read_bytes()
    picture = png(2, 2, 8, 0, bytes(4))
    for name, begins, kind in (("a.zip", page, "PDF"), ("b.zip", picture, "PNG")):
        (tmp_path / name).write_bytes(begins + behind.getvalue())
        assert zipfile.is_zipfile(tmp_path / name)
        assert kind_of(tmp_path / name) == kind
        opened_as = open_artwork(tmp_path / name, 1, LIMITS)
        assert opened_as.artwork.kind == kind
        opened_as.close()
