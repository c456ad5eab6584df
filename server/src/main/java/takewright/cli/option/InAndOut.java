package takewright.cli.option;

import java.nio.file.Path;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import takewright.cli.show.Sets;
import takewright.v1.AudioInput;
import takewright.v1.AudioOutput;

/** The file that a command reads, the file that it writes, and how that is written. */
public final class InAndOut {
  @Parameters(index = "0", paramLabel = "IN", description = "The audio: WAV, AIFF or FLAC.")
  @Sets("config.input")
  private Path in;

  @Parameters(index = "1", paramLabel = "OUT", description = "The WAV file to write.")
  @Sets("config.output")
  private Path out;

  @Option(
      names = "--bit-depth",
      paramLabel = "BITS",
      description = "Bits per sample of the result: 16, 24 or 32. Default: 24.")
  @Sets({"config.output.bit_depth", "config.removed.bit_depth"})
  private Integer bitDepth;

  @Option(names = "--replace", description = "Replaces existing files.")
  private boolean replace;

  /** The file to read. */
  public AudioInput input() {
    return LocalFiles.input(in);
  }

  /** The file to write. */
  public AudioOutput output() {
    return output(out);
  }

  /** Another file that is written in the same way. */
  public AudioOutput output(Path other) {
    return LocalFiles.output(other, bitDepth, replace);
  }

  /** The name of the file to write, as it was given. */
  public Path out() {
    return out;
  }
}
