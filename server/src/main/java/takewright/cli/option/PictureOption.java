package takewright.cli.option;

import com.google.protobuf.ByteString;
import java.io.IOException;
import java.nio.file.Path;
import java.util.Locale;
import picocli.CommandLine.Option;
import takewright.audio.original.AtomicFile;

/** The option for a picture of what was heard. */
public final class PictureOption {
  @Option(
      names = "--picture",
      paramLabel = "FILE.png",
      description =
          "Also draws what was heard. A picture that Takewright drew before is replaced, any other"
              + " file is not.")
  private Path file;

  /** Whether a picture is requested. */
  public boolean wanted() {
    if (file != null && !file.toString().toLowerCase(Locale.ROOT).endsWith(".png")) {
      // A typing mistake must not overwrite a sound file.
      throw new IllegalArgumentException(
          "--picture: " + file + " must end in .png; correct the name");
    }
    return file != null;
  }

  public void write(ByteString png) throws IOException {
    AtomicFile.write(LocalFiles.toWrite(file), png.toByteArray());
  }
}
