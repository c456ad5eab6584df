package takewright.service.call;

import java.io.IOException;
import takewright.audio.AudioSource;
import takewright.audio.PassingSource;

/** Audio that is written to a sink, and to that of what was removed, while it is read. */
final class WrittenAudio extends PassingSource {
  private final Target.Sink sink;
  private final RemovedAudio removed;
  private final float[][] block;
  private long passed;

  WrittenAudio(AudioSource source, Target.Sink sink, RemovedAudio removed) {
    super(source);
    this.sink = sink;
    this.removed = removed;
    block = new float[source.channels()][Target.BLOCK];
  }

  @Override
  public int read(float[][] planar, int offset, int count) throws IOException {
    int n = source.read(block, 0, Math.min(count, Target.BLOCK));
    if (n <= 0) {
      return n;
    }
    for (int c = 0; c < block.length; c++) {
      System.arraycopy(block[c], 0, planar[c], offset, n);
    }
    sink.append(block, n);
    if (removed != null) {
      removed.append(block, n);
    }
    passed += n;
    return n;
  }

  /** Frames that were written. */
  long framesWritten() {
    return passed;
  }

  @Override
  public void close() {
    // Its parts are closed by their owners.
  }
}
