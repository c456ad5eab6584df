package takewright.cli;

import com.google.protobuf.ByteString;
import java.io.IOException;
import java.nio.file.Path;
import java.util.Locale;
import picocli.CommandLine.Option;
import takewright.audio.AtomicFile;

/** Where a picture of what was heard goes, if one is wanted. */
final class PictureOption {
  @Option(
      names = "--picture",
      paramLabel = "FILE.png",
      description =
          "Also draws what was heard. A picture that Takewright drew before is replaced, any other file is not.")
  private Path file;

  /** Whether one is wanted. */
  boolean wanted() {
    if (file != null && !file.toString().toLowerCase(Locale.ROOT).endsWith(".png")) {
      // Nobody's sound is to be written over by a slip of the tongue.
      throw new IllegalArgumentException(
          "--picture: " + file + " must end in .png; correct the name");
    }
    return file != null;
  }

  void write(ByteString png) throws IOException {
    AtomicFile.write(file.toAbsolutePath(), png.toByteArray());
  }
}
