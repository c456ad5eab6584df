package takewright.service.call;

import java.io.Closeable;
import java.io.IOException;
import takewright.audio.AudioSource;
import takewright.diagnosis.ProblemException;
import takewright.v1.DenoiseConfig;

/** What was removed: the input, read again, minus the result. */
final class RemovedAudio implements Closeable {
  private final AudioSource input;
  private final Target.Sink sink;
  private final float[][] block;

  /**
   * Where it is to be written; null if that is not requested.
   *
   * @param output where the result is written, which must be another file
   */
  static Target target(DenoiseConfig config, Target output, CallAudio audio, Site site)
      throws IOException {
    if (!config.hasRemoved()) {
      return null;
    }
    if (config.getRemoved().hasPcm()) {
      throw ProblemException.invalid(
          "config.removed", "can only be a file", "set `config.removed.file`");
    }
    Target removed = Target.of("config.removed", config.getRemoved(), audio.file(), site.folders());
    if (removed.file().equals(output.file())) {
      throw ProblemException.invalid(
          "config.removed.file",
          "is the same file as `config.output.file`",
          "name two different files");
    }
    return removed;
  }

  RemovedAudio(Target target, AudioSource input) throws IOException {
    this.input = input;
    this.sink = target.open(input.sampleRate(), input.channels(), format -> {}, audio -> {});
    block = new float[input.channels()][Target.BLOCK];
  }

  void append(float[][] result, int count) throws IOException {
    int got = 0;
    while (got < count) {
      int n = input.read(block, got, count - got);
      if (n < 0) {
        throw new IOException("the input has become shorter while it was read");
      }
      got += n;
    }
    for (int c = 0; c < block.length; c++) {
      for (int i = 0; i < count; i++) {
        block[c][i] -= result[c][i];
      }
    }
    sink.append(block, count);
  }

  void commit() throws IOException {
    sink.commit();
  }

  @Override
  public void close() throws IOException {
    sink.close();
  }
}
