package takewright.report;

import java.util.HashMap;
import java.util.Locale;
import java.util.Map;

/**
 * A picture to draw on: boxes, bars and short words. It needs no desktop and no fonts, which a
 * server's Java may lack; it has capital letters of its own.
 */
final class Drawing {
  /** Colours as 0xRRGGBB. Status colours are Okabe and Ito's, as on the page. */
  static final int PAGE = 0x121517;

  static final int PANEL = 0x1b2023;
  static final int TEXT = 0xe7e5df;
  static final int MUTED = 0xa3abad;
  static final int WAVE = 0x8fa3ad;
  static final int GREEN = 0x009e73;
  static final int ORANGE = 0xe69f00;
  static final int VERMILLION = 0xd55e00;
  static final int SKY = 0x56b4e9;

  /** Pixels per dot of a letter: letters are 5 dots or 10 pixels high. */
  private static final int DOT = 2;

  static final int LETTER_HEIGHT = 5 * DOT;

  private static final String LETTERS =
      """
      A .X. X.X XXX X.X X.X
      B XX. X.X XX. X.X XX.
      C .XX X.. X.. X.. .XX
      D XX. X.X X.X X.X XX.
      E XXX X.. XX. X.. XXX
      F XXX X.. XX. X.. X..
      G .XX X.. X.X X.X .XX
      H X.X X.X XXX X.X X.X
      I X X X X X
      J ..X ..X ..X X.X .X.
      K X.X X.X XX. X.X X.X
      L X.. X.. X.. X.. XXX
      M X...X XX.XX X.X.X X...X X...X
      N X..X XX.X X.XX X..X X..X
      O .X. X.X X.X X.X .X.
      P XX. X.X XX. X.. X..
      Q .X. X.X X.X XXX .XX
      R XX. X.X XX. X.X X.X
      S .XX X.. .X. ..X XX.
      T XXX .X. .X. .X. .X.
      U X.X X.X X.X X.X XXX
      V X.X X.X X.X X.X .X.
      W X...X X...X X.X.X XX.XX X...X
      X X.X X.X .X. X.X X.X
      Y X.X X.X .X. .X. .X.
      Z XXX ..X .X. X.. XXX
      0 XXX X.X X.X X.X XXX
      1 .X XX .X .X .X
      2 XX. ..X .X. X.. XXX
      3 XX. ..X .X. ..X XX.
      4 X.X X.X XXX ..X ..X
      5 XXX X.. XX. ..X XX.
      6 .XX X.. XXX X.X XXX
      7 XXX ..X ..X .X. .X.
      8 XXX X.X XXX X.X XXX
      9 XXX X.X XXX ..X XX.
      . . . . . X
      , .. .. .. .X X.
      : . X . X .
      - ... ... XXX ... ...
      + ... .X. XXX .X. ...
      # .X.X. XXXXX .X.X. XXXXX .X.X.
      / ..X ..X .X. X.. X..
      % X.X ..X .X. X.. X.X
      ( .X X. X. X. .X
      ) X. .X .X .X X.
      _ ... ... ... ... XXX
      """;

  private static final Map<Character, String[]> GLYPHS = new HashMap<>();

  static {
    for (String line : LETTERS.split("\n")) {
      String[] parts = line.split(" ");
      GLYPHS.put(parts[0].charAt(0), java.util.Arrays.copyOfRange(parts, 1, parts.length));
    }
  }

  private final int width;
  private final int height;
  private final byte[] pixels;

  Drawing(int width, int height) {
    this.width = width;
    this.height = height;
    pixels = new byte[3 * width * height];
    box(0, 0, width, height, PAGE);
  }

  /** A filled box, clipped to the picture. */
  void box(int x, int y, int wide, int high, int colour) {
    for (int row = Math.max(0, y); row < Math.min(height, y + high); row++) {
      for (int column = Math.max(0, x); column < Math.min(width, x + wide); column++) {
        dot(column, row, colour);
      }
    }
  }

  /** A hatched box. */
  void hatched(int x, int y, int wide, int high, int colour) {
    for (int row = Math.max(0, y); row < Math.min(height, y + high); row++) {
      for (int column = Math.max(0, x); column < Math.min(width, x + wide); column++) {
        if ((row + column) % 8 < 3) {
          dot(column, row, colour);
        }
      }
    }
  }

  private void dot(int x, int y, int colour) {
    int at = 3 * (y * width + x);
    pixels[at] = (byte) (colour >> 16);
    pixels[at + 1] = (byte) (colour >> 8);
    pixels[at + 2] = (byte) colour;
  }

  /** The waveform of a sound, centred in a box. */
  void outline(byte[] outline, int x, int y, int wide, int high, int colour) {
    int columns = outline.length / 2;
    for (int c = 0; c < wide; c++) {
      int at = (int) ((long) c * columns / wide);
      int top = y + high / 2 - outline[2 * at + 1] * (high / 2) / 127;
      int bottom = y + high / 2 - outline[2 * at] * (high / 2) / 127;
      box(x + c, top, 1, Math.max(1, bottom - top), colour);
    }
  }

  /**
   * A word in capitals; unknown letters become blanks.
   *
   * @return where it ends
   */
  int write(String text, int x, int y, int colour) {
    int at = x;
    for (char letter : text.toUpperCase(Locale.ROOT).replace('♯', '#').toCharArray()) {
      String[] rows = GLYPHS.get(letter);
      if (rows != null) {
        for (int row = 0; row < rows.length; row++) {
          for (int column = 0; column < rows[row].length(); column++) {
            if (rows[row].charAt(column) == 'X') {
              box(at + column * DOT, y + row * DOT, DOT, DOT, colour);
            }
          }
        }
      }
      at += (rows == null ? 3 : rows[0].length() + 1) * DOT;
    }
    return at;
  }

  byte[] png() {
    return Png.rgb(width, height, pixels);
  }
}
