package takewright.bench.fuzz;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import takewright.render.ScoreTarget;

/** What reads what others wrote. */
public enum Target {
  /** WAV, AIFF and FLAC files. */
  AUDIO(AudioTarget.class, 4096) {
    @Override
    public List<byte[]> seeds() {
      List<byte[]> seeds = new ArrayList<>();
      for (String name :
          List.of(
              "16.wav", "24.wav", "float.wav", "rf64.wav", "16.aiff", "float.aifc", "16.flac")) {
        seeds.add(resource(name));
      }
      return seeds;
    }

    @Override
    public void feed(byte[] data) throws IOException {
      AudioTarget.fuzzerTestOneInput(data);
    }
  },

  /** Sheets. */
  SHEET(SheetTarget.class, 4096) {
    @Override
    public List<byte[]> seeds() {
      return List.of(resource("small.yaml"), resource("large.yaml"));
    }

    @Override
    public void feed(byte[] data) throws IOException {
      SheetTarget.fuzzerTestOneInput(data);
    }
  },

  /** Patterns of names, and names. */
  NAMES(NamesTarget.class, 512) {
    @Override
    public List<byte[]> seeds() {
      String pattern = "{library}_{articulation}_{layer}_{note}_{dynamic}_rr{rr}";
      return List.of(
          text(pattern + "\nLarkfell_sustain_close_C#4_mf_rr1"),
          text("{note}-{rr:2}\nDb-1-02"),
          text("{midi} {layer}\n60 room"));
    }

    @Override
    public void feed(byte[] data) {
      NamesTarget.fuzzerTestOneInput(data);
    }
  },

  /** MIDI files, and lists of notes. */
  SCORE(ScoreTarget.class, 2048) {
    @Override
    public List<byte[]> seeds() {
      return List.of(resource("phrase.mid"), text("C4:0.5@100 E4 G4:2"));
    }

    @Override
    public void feed(byte[] data) throws IOException {
      ScoreTarget.fuzzerTestOneInput(data);
    }
  },

  /** The messages of the service. */
  MESSAGES(MessagesTarget.class, 4096) {
    @Override
    public List<byte[]> seeds() {
      return MessagesTarget.seeds();
    }

    @Override
    public void feed(byte[] data) throws Exception {
      MessagesTarget.fuzzerTestOneInput(data);
    }
  };

  private final Class<?> type;
  private final int maxBytes;

  Target(Class<?> type, int maxBytes) {
    this.type = type;
    this.maxBytes = maxBytes;
  }

  /** The class that Jazzer calls. */
  public Class<?> type() {
    return type;
  }

  /** Longest input that is tried. */
  public int maxBytes() {
    return maxBytes;
  }

  /** The name of its folders. */
  public String folder() {
    return name().toLowerCase(Locale.ROOT);
  }

  /** Good inputs to begin with. */
  public abstract List<byte[]> seeds();

  /** Tries one input; throws where the program broke. */
  public abstract void feed(byte[] data) throws Exception;

  private static byte[] text(String text) {
    return text.getBytes(StandardCharsets.UTF_8);
  }

  private static byte[] resource(String name) {
    try (InputStream in = Target.class.getResourceAsStream("/fuzz-seeds/" + name)) {
      return in.readAllBytes();
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }
}
