"""Makes the pictures of this folder with a library that is not ours (Pillow 13.0).

    python3 make.py FOLDER

All but the last are 48 x 32 pixels, a colour in each quarter as in tests/common/photo_fixtures.rs: red, green, blue,
white from the top left, row by row.
"""

import math
import pathlib
import sys

from PIL import Image, TiffImagePlugin

folder = pathlib.Path(sys.argv[1])
COLOURS = [(200, 30, 30), (30, 180, 30), (40, 40, 200), (240, 240, 240)]
rgb = Image.new("RGB", (48, 32))
for place, colour in enumerate(COLOURS):
    rgb.paste(colour, (place % 2 * 24, place // 2 * 16, place % 2 * 24 + 24, place // 2 * 16 + 16))
grey = rgb.convert("L")
# Opaque above, half transparent below.
rgba = rgb.convert("RGBA")
rgba.putalpha(Image.frombytes("L", (48, 32), bytes([255] * 48 * 16 + [128] * 48 * 16)))


def save(image, name, **how):
    image.save(folder / name, **how)


save(rgb, "rgb.bmp")
save(rgb.quantize(4), "palette.bmp")
save(grey, "grey.bmp")
save(rgb, "rgb.tif", description="TELLTALE")
for name, compression in [("lzw", "tiff_lzw"), ("deflate", "tiff_adobe_deflate"), ("packbits", "packbits")]:
    save(rgb, f"{name}.tif", compression=compression)
save(grey, "grey.tif")
save(grey.point(lambda v: v * 257, "I").convert("I;16"), "grey16.tif")
save(grey.convert("F"), "float.tif")
save(rgba, "alpha.tif")
save(rgb, "pages.tif", save_all=True, append_images=[Image.new("RGB", (20, 10))])
sideways = TiffImagePlugin.ImageFileDirectory_v2()
sideways[0x0112] = 6
save(rgb.transpose(Image.Transpose.ROTATE_90), "sideways.tif", tiffinfo=sideways)
preview = TiffImagePlugin.ImageFileDirectory_v2()
preview[0x00FE] = 1
save(rgb, "preview.tif", tiffinfo=preview)
save(rgb, "lossy.webp", quality=95)
save(rgb, "lossless.webp", lossless=True)
save(rgba, "alpha.webp", lossless=True, exact=True)
save(rgb, "moving.webp", save_all=True, append_images=[Image.new("RGB", (48, 32))], duration=100, lossless=True)
exif = Image.Exif()
exif[0x0112] = 6
exif[0x010F] = "TELLTALE"
save(rgb.transpose(Image.Transpose.ROTATE_90), "sideways.webp", lossless=True, exif=exif)

# A picture of 200 x 168 pixels with waves, edges and fine lines, in passes that refine earlier ones.
waves = Image.new("RGB", (200, 168))
waves.putdata(
    [
        (
            round(128 + 100 * math.sin(x / 17) * math.cos(y / 23)),
            round(128 + 90 * math.cos((x + y) / 31)),
            40 + 170 * x // 200,
        )
        for y in range(168)
        for x in range(200)
    ]
)
waves.paste((200, 60, 40), (60, 40, 120, 90))
waves.paste((30, 80, 200), (20, 100, 90, 140))
for x in range(130, 190, 4):
    waves.paste((250, 250, 250), (x, 20, x + 1, 60))
for name, sampling in [("420", 2), ("422", 1), ("444", 0)]:
    save(waves, f"passes-{name}.jpg", quality=90, progressive=True, subsampling=sampling)
save(waves.convert("L"), "passes-grey.jpg", quality=90, progressive=True)
save(waves, "passes-restarts.jpg", quality=90, progressive=True, subsampling=2, restart_marker_blocks=7)
