package takewright.dsp;

/**
 * The discrete Fourier transform of complex signals whose real and imaginary parts lie in arrays of
 * their own, made so that HotSpot makes vector code of nearly all of it.
 *
 * <p>It does that only of loops that count up through few arrays at distances that are constants
 * (measured on 17 and 25). So the points are laid out in rows of equal length, and a transform down
 * all columns at once adds and subtracts whole rows: D. H. Bailey, "FFTs in external or
 * hierarchical memory", J. Supercomputing 4, 1990. In its four steps: down the columns; a turn of
 * every point; rows become columns; down the columns again. Down the columns it is radix 4,
 * decimated in time, which leaves the rows in bit-reversed order; every block of rows then turns by
 * one angle (C. Van Loan, "Computational Frameworks for the Fast Fourier Transform", 1992).
 *
 * <p>Not for use by several threads at once.
 */
final class SplitFft {
  /** Fewest points: with rows shorter than 16 nothing would be left for vectors. */
  static final int MIN_POINTS = 256;

  /** Most points: beyond, there are no distances below. */
  static final int MAX_POINTS = 16384;

  /** Blocks turn by one angle each where their rows are at least so long; else by a table. */
  private static final int LONG = 256;

  /** A pass over one array. */
  private interface Pass {
    void apply(float[] x, int from);
  }

  /** A pass over both parts. */
  private interface PassOfBoth {
    void apply(float[] re, float[] im, int from);
  }

  /** Log2 of the first distance below. */
  private static final int MIN_DISTANCE_LOG = 4;

  /**
   * The passes by log2 of the distance, which is a literal in each: with a variable HotSpot makes
   * no vector code of them, nor of all where it compiles several into one method, and then they
   * take two to four times as long. The loops stand here and not in what they call, since a loop
   * that was compiled by itself is not compiled again with the literal.
   */
  private static final Pass[] SUMS = {
    (x, from) -> {
      for (int i = from; i < from + 16; i++) {
        sums(x, i, 16);
      }
    },
    (x, from) -> {
      for (int i = from; i < from + 32; i++) {
        sums(x, i, 32);
      }
    },
    (x, from) -> {
      for (int i = from; i < from + 64; i++) {
        sums(x, i, 64);
      }
    },
    (x, from) -> {
      for (int i = from; i < from + 128; i++) {
        sums(x, i, 128);
      }
    },
    (x, from) -> {
      for (int i = from; i < from + 256; i++) {
        sums(x, i, 256);
      }
    },
    (x, from) -> {
      for (int i = from; i < from + 512; i++) {
        sums(x, i, 512);
      }
    },
    (x, from) -> {
      for (int i = from; i < from + 1024; i++) {
        sums(x, i, 1024);
      }
    },
    (x, from) -> {
      for (int i = from; i < from + 2048; i++) {
        sums(x, i, 2048);
      }
    }
  };

  private static final PassOfBoth[] QUARTER_TURNS = {
    (re, im, from) -> {
      for (int i = from; i < from + 16; i++) {
        quarterTurns(re, im, i, 16);
      }
    },
    (re, im, from) -> {
      for (int i = from; i < from + 32; i++) {
        quarterTurns(re, im, i, 32);
      }
    },
    (re, im, from) -> {
      for (int i = from; i < from + 64; i++) {
        quarterTurns(re, im, i, 64);
      }
    },
    (re, im, from) -> {
      for (int i = from; i < from + 128; i++) {
        quarterTurns(re, im, i, 128);
      }
    },
    (re, im, from) -> {
      for (int i = from; i < from + 256; i++) {
        quarterTurns(re, im, i, 256);
      }
    },
    (re, im, from) -> {
      for (int i = from; i < from + 512; i++) {
        quarterTurns(re, im, i, 512);
      }
    },
    (re, im, from) -> {
      for (int i = from; i < from + 1024; i++) {
        quarterTurns(re, im, i, 1024);
      }
    },
    (re, im, from) -> {
      for (int i = from; i < from + 2048; i++) {
        quarterTurns(re, im, i, 2048);
      }
    }
  };

  private static final Pass[] HALVES = {
    (x, from) -> {
      for (int i = from; i < from + 16; i++) {
        halves(x, i, 16);
      }
    },
    (x, from) -> {
      for (int i = from; i < from + 32; i++) {
        halves(x, i, 32);
      }
    },
    (x, from) -> {
      for (int i = from; i < from + 64; i++) {
        halves(x, i, 64);
      }
    },
    (x, from) -> {
      for (int i = from; i < from + 128; i++) {
        halves(x, i, 128);
      }
    },
    (x, from) -> {
      for (int i = from; i < from + 256; i++) {
        halves(x, i, 256);
      }
    },
    (x, from) -> {
      for (int i = from; i < from + 512; i++) {
        halves(x, i, 512);
      }
    },
    (x, from) -> {
      for (int i = from; i < from + 1024; i++) {
        halves(x, i, 1024);
      }
    },
    (x, from) -> {
      for (int i = from; i < from + 2048; i++) {
        halves(x, i, 2048);
      }
    },
    (x, from) -> {
      for (int i = from; i < from + 4096; i++) {
        halves(x, i, 4096);
      }
    },
    (x, from) -> {
      for (int i = from; i < from + 8192; i++) {
        halves(x, i, 8192);
      }
    }
  };

  private final int points;

  /** Rows at first, and their length. */
  private final int rows;

  private final int columns;
  private final int[] rowOrder;
  private final int[] columnOrder;

  /** What every pass down the columns turns by: a quarter of a block at a time, or each point. */
  private final Angles[] down;

  private final Angles[] downAgain;
  private final Angles between;

  /** The work of the second half. */
  private final float[] re;

  private final float[] im;

  /** Cosines and sines by point. */
  private record Angles(float[] re, float[] im) {
    Angles(int count) {
      this(new float[count], new float[count]);
    }

    /** A point turns by a share of a circle. */
    void put(int at, double share) {
      // The same on every Java, which Math does not promise.
      re[at] = (float) StrictMath.cos(2 * Math.PI * share);
      im[at] = (float) StrictMath.sin(2 * Math.PI * share);
    }
  }

  /**
   * A transform of a size.
   *
   * @param points a power of two from {@link #MIN_POINTS} to {@link #MAX_POINTS}
   */
  SplitFft(int points) {
    this.points = points;
    rows = 1 << Integer.numberOfTrailingZeros(points) / 2;
    columns = points / rows;
    rowOrder = bitReversed(rows);
    columnOrder = bitReversed(columns);
    down = turns(rows);
    downAgain = rows == columns ? down : turns(columns);
    between = new Angles(points);
    for (int n = 0; n < columns; n++) {
      for (int k = 0; k < rows; k++) {
        between.put(n * rows + k, -(double) n * k / points);
      }
    }
    re = new float[points];
    im = new float[points];
  }

  private static int[] bitReversed(int count) {
    int[] order = new int[count];
    for (int i = 0; i < count; i++) {
      order[i] = Integer.reverse(i) >>> (32 - Integer.numberOfTrailingZeros(count));
    }
    return order;
  }

  private Angles[] turns(int count) {
    int length = points / count;
    int blocks = firstBlocks(count);
    Angles[] passes = new Angles[(Integer.numberOfTrailingZeros(count) + 1) / 2 + 1];
    int pass = 0;
    for (int distance = points / blocks / 4; distance >= length; distance /= 4) {
      int each = distance >= LONG ? 1 : distance;
      Angles angles = new Angles(4 * blocks * each);
      int[] order = blocks == 1 ? new int[1] : bitReversed(blocks);
      for (int i = 0; i < 4 * blocks * each; i++) {
        int quarter = i / each;
        angles.put(i, -order[quarter / 4] * (quarter % 4) / (4.0 * blocks));
      }
      passes[pass++] = angles;
      blocks *= 4;
    }
    return passes;
  }

  /** Blocks before the first pass of radix 4: where it does not come out even, one of radix 2. */
  private static int firstBlocks(int rows) {
    return 1 + (Integer.numberOfTrailingZeros(rows) & 1);
  }

  /** Length of the rows that {@link #row} speaks of. */
  int rowLength() {
    return rows;
  }

  /** Number of those rows. */
  int rowCount() {
    return columns;
  }

  /** Where a row of the result begins: bins {@code row * rowLength()} on. */
  int row(int row) {
    return columnOrder[row] * rows;
  }

  /** The result's real parts, for {@link #row}. */
  float[] re() {
    return re;
  }

  /** The result's imaginary parts. */
  float[] im() {
    return im;
  }

  /**
   * Transforms, not scaled; the result stands in {@link #re} and {@link #im} until the next.
   *
   * @param fromRe real parts, which are written over
   * @param fromIm imaginary parts, which are written over
   */
  void forward(float[] fromRe, float[] fromIm) {
    transform(fromRe, fromIm, re, im);
  }

  /** The same the other way: with the parts exchanged a transform is its own inverse. */
  void inverse(float[] fromRe, float[] fromIm) {
    transform(fromIm, fromRe, im, re);
  }

  private void transform(float[] fromRe, float[] fromIm, float[] toRe, float[] toIm) {
    columns(fromRe, fromIm, rows, down);
    transpose(fromRe, toRe);
    transpose(fromIm, toIm);
    turn(toRe, toIm, between, rows);
    columns(toRe, toIm, columns, downAgain);
  }

  /** Transforms down the columns of {@code count} rows; the rows end up in bit-reversed order. */
  private void columns(float[] re, float[] im, int count, Angles[] turns) {
    int blocks = firstBlocks(count);
    if (blocks == 2) {
      int at = Integer.numberOfTrailingZeros(points / 2) - MIN_DISTANCE_LOG;
      HALVES[at].apply(re, 0);
      HALVES[at].apply(im, 0);
    }
    int length = points / count;
    int pass = 0;
    for (int distance = points / blocks / 4; distance >= length; distance /= 4) {
      Angles angles = turns[pass++];
      // The first block turns by nothing.
      if (blocks > 1 && distance >= LONG) {
        turnQuarters(re, im, angles, 4, distance);
      } else if (blocks > 1) {
        turn(re, im, angles, 4 * distance);
      }
      int at = Integer.numberOfTrailingZeros(distance) - MIN_DISTANCE_LOG;
      for (int block = 0; block < blocks; block++) {
        int from = 4 * distance * block;
        SUMS[at].apply(re, from);
        SUMS[at].apply(im, from);
        QUARTER_TURNS[at].apply(re, im, from);
      }
      blocks *= 4;
    }
  }

  private static void turnQuarters(float[] re, float[] im, Angles by, int first, int length) {
    for (int q = first; q < by.re.length; q++) {
      if (q % 4 != 0) {
        turn(re, im, by.re[q], by.im[q], q * length, (q + 1) * length);
      }
    }
  }

  private static void turn(float[] re, float[] im, float c, float s, int from, int to) {
    for (int i = from; i < to; i++) {
      float x = re[i];
      float y = im[i];
      re[i] = x * c - y * s;
      im[i] = x * s + y * c;
    }
  }

  private static void turn(float[] re, float[] im, Angles by, int from) {
    float[] c = by.re;
    float[] s = by.im;
    for (int i = from; i < c.length; i++) {
      float x = re[i];
      float y = im[i];
      re[i] = x * c[i] - y * s[i];
      im[i] = x * s[i] + y * c[i];
    }
  }

  /** Rows become columns, and come into their order. Four at once: their stores lie together. */
  private void transpose(float[] from, float[] to) {
    for (int k = 0; k < rows; k += 4) {
      int a = rowOrder[k] * columns;
      int b = rowOrder[k + 1] * columns;
      int c = rowOrder[k + 2] * columns;
      int d = rowOrder[k + 3] * columns;
      int at = k;
      for (int n = 0; n < columns; n++) {
        float w = from[a + n];
        float x = from[b + n];
        float y = from[c + n];
        float z = from[d + n];
        to[at] = w;
        to[at + 1] = x;
        to[at + 2] = y;
        to[at + 3] = z;
        at += rows;
      }
    }
  }

  /** Sums of four points into the first two, differences into the others. */
  private static void sums(float[] x, int i, int distance) {
    float even = x[i] + x[i + 2 * distance];
    float evenLess = x[i] - x[i + 2 * distance];
    float odd = x[i + distance] + x[i + 3 * distance];
    float oddLess = x[i + distance] - x[i + 3 * distance];
    x[i] = even + odd;
    x[i + distance] = even - odd;
    x[i + 2 * distance] = evenLess;
    x[i + 3 * distance] = oddLess;
  }

  /** The differences, with that of the odd ones turned by a quarter. */
  private static void quarterTurns(float[] re, float[] im, int i, int distance) {
    float evenRe = re[i + 2 * distance];
    float oddRe = re[i + 3 * distance];
    float evenIm = im[i + 2 * distance];
    float oddIm = im[i + 3 * distance];
    re[i + 2 * distance] = evenRe + oddIm;
    re[i + 3 * distance] = evenRe - oddIm;
    im[i + 2 * distance] = evenIm - oddRe;
    im[i + 3 * distance] = evenIm + oddRe;
  }

  /** Sum and difference of two points. */
  private static void halves(float[] x, int i, int distance) {
    float a = x[i];
    float b = x[i + distance];
    x[i] = a + b;
    x[i + distance] = a - b;
  }
}
