"""Makes the pictures of this folder with a library that is not ours (Pillow 13.0).

    python3 make.py FOLDER

Each is 48 x 32 pixels, a colour in each quarter as in tests/common/photo_fixtures.rs: red, green, blue,
white from the top left, row by row.
"""

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
