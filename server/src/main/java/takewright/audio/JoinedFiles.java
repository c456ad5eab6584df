package takewright.audio;

import java.io.IOException;
import java.util.List;

/**
 * Files that continue each other, read as one: a recorder begins a new file when one is full. Only
 * the one that is being read is open.
 */
final class JoinedFiles implements AudioFile {
  private final List<AudioPiece> pieces;

  /** The first frame of each, counted from the first of all; behind them the number of frames. */
  private final long[] starts;

  private AudioFile open;
  private int at;

  private JoinedFiles(List<AudioPiece> pieces, long[] starts, AudioFile first) {
    this.pieces = pieces;
    this.starts = starts;
    open = first;
  }

  /**
   * Looks at the headers of all files.
   *
   * @throws BadAudioException if one cannot be read, or does not continue the first
   */
  static AudioFile open(List<AudioPiece> pieces) throws IOException {
    AudioFile first = pieces.get(0).open();
    try {
      long[] starts = new long[pieces.size() + 1];
      starts[1] = first.frames();
      for (int i = 1; i < pieces.size(); i++) {
        try (AudioFile next = pieces.get(i).open()) {
          requireAlike(pieces.get(0), first, pieces.get(i), next);
          starts[i + 1] = starts[i] + next.frames();
        }
      }
      return new JoinedFiles(pieces, starts, first);
    } catch (IOException | RuntimeException e) {
      first.close();
      throw e;
    }
  }

  private static void requireAlike(
      AudioPiece firstPiece, AudioFile first, AudioPiece piece, AudioFile next)
      throws BadAudioException {
    String unlike =
        first.sampleRate() != next.sampleRate()
            ? words("a sample rate of ", next.sampleRate(), first.sampleRate(), " Hz")
            : first.channels() != next.channels()
                ? words("", next.channels(), first.channels(), " channels")
                : first.bitDepth() != next.bitDepth()
                    ? words("", next.bitDepth(), first.bitDepth(), " bits per sample")
                    : first.floatingPoint() != next.floatingPoint()
                        ? "has samples of another kind (integer and floating point)"
                        : null;
    if (unlike != null) {
      throw new BadAudioException(
          piece.file().toString(),
          unlike + ", so it cannot continue " + firstPiece.file().getFileName(),
          "name only files of one recording, in the order recorded");
    }
  }

  private static String words(String what, int own, int first, String unit) {
    return "has " + what + own + unit + " instead of " + first;
  }

  @Override
  public void seek(long frame) throws IOException {
    int piece = 0;
    while (piece + 1 < pieces.size() && frame >= starts[piece + 1]) {
      piece++;
    }
    turnTo(piece);
    open.seek(frame - starts[piece]);
  }

  private void turnTo(int piece) throws IOException {
    if (piece != at) {
      AudioFile next = pieces.get(piece).open();
      open.close();
      open = next;
      at = piece;
    }
  }

  @Override
  public int read(float[][] planar, int offset, int count) throws IOException {
    int n = open.read(planar, offset, count);
    while (n < 0 && at + 1 < pieces.size()) {
      turnTo(at + 1);
      n = open.read(planar, offset, count);
    }
    return n;
  }

  @Override
  public long frames() {
    return starts[pieces.size()];
  }

  @Override
  public int sampleRate() {
    return open.sampleRate();
  }

  @Override
  public int channels() {
    return open.channels();
  }

  @Override
  public int bitDepth() {
    return open.bitDepth();
  }

  @Override
  public boolean floatingPoint() {
    return open.floatingPoint();
  }

  @Override
  public String container() {
    return open.container();
  }

  /** None: those of the files count from their own beginnings. */
  @Override
  public WavChunks chunks() {
    return WavChunks.NONE;
  }

  @Override
  public void close() throws IOException {
    open.close();
  }
}
