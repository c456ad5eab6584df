package takewright.testing;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.channels.FileChannel;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import takewright.audio.Clip;

/**
 * Single notes of Debian's fluid-soundfont-gm (Fluid R3, MIT licence), read as the SoundFont
 * specification 2.04 lays them out: a note's sample, played on through its own loop while it dies
 * away, as plucked and struck notes do.
 */
public final class BankOfNotes {
  private static final Path BANK = Path.of("/usr/share/sounds/sf2/FluidR3_GM.sf2");
  private static final Map<String, List<Note>> READ = new HashMap<>();

  private BankOfNotes() {}

  /**
   * One note.
   *
   * @param midi its root key
   * @param cents how far above it the bank says that it sounds
   */
  public record Note(int midi, double cents, Clip clip) {}

  /** Nylon guitar, notes of 3 s. */
  public static List<Note> nylon() {
    return of("Nylon", 3, 3);
  }

  /** Vibraphone, notes of 4 s. */
  public static List<Note> vibraphone() {
    return of("Vibraphone", 4, 4);
  }

  /** Marimba, as long as the bank has them. */
  public static List<Note> marimba() {
    return of("Marimba", 0, 0);
  }

  /**
   * Notes of all samples whose name begins so, lowest first, one for each root key.
   *
   * @param seconds of each; 0: as they are, without a loop
   * @param decay time in which what is looped falls by 60 dB, in seconds
   */
  private static synchronized List<Note> of(String name, double seconds, double decay) {
    return READ.computeIfAbsent(name, key -> read(name, seconds, decay));
  }

  private static List<Note> read(String name, double seconds, double decay) {
    if (!Files.exists(BANK)) {
      throw Outside.missing("fluid-soundfont-gm is not installed");
    }
    try (FileChannel file = FileChannel.open(BANK)) {
      ByteBuffer bank = file.map(FileChannel.MapMode.READ_ONLY, 0, file.size());
      bank.order(ByteOrder.LITTLE_ENDIAN);
      Map<String, int[]> at = new HashMap<>();
      chunks(bank, 12, (int) file.size(), at);
      List<Note> notes = new ArrayList<>();
      Set<Integer> seen = new HashSet<>();
      for (int[] zone : zones(bank, at)) {
        int header = at.get("shdr")[0] + 46 * zone[0];
        byte[] text = new byte[20];
        bank.get(header, text);
        String sample = new String(text, StandardCharsets.ISO_8859_1).split("\0", 2)[0];
        int root = zone[1] >= 0 ? zone[1] : bank.get(header + 40) & 255;
        if (sample.startsWith(name) && !sample.endsWith("(R)") && seen.add(root)) {
          double cents = zone[2] + bank.get(header + 41);
          notes.add(new Note(root, cents, play(bank, at.get("smpl")[0], header, seconds, decay)));
        }
      }
      notes.sort(Comparator.comparingInt(Note::midi));
      return List.copyOf(notes);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  private static void chunks(ByteBuffer bank, int from, int to, Map<String, int[]> at) {
    int pos = from;
    while (pos + 8 <= to) {
      String kind = tag(bank, pos);
      int size = bank.getInt(pos + 4);
      if (kind.equals("LIST")) {
        chunks(bank, pos + 12, pos + 8 + size, at);
      } else {
        at.put(kind, new int[] {pos + 8, size});
      }
      pos += 8 + size + (size & 1);
    }
  }

  private static String tag(ByteBuffer bank, int at) {
    byte[] tag = new byte[4];
    bank.get(at, tag);
    return new String(tag, StandardCharsets.US_ASCII);
  }

  /** Sample, root key or -1, and tuning in cents of each zone of each instrument. */
  private static List<int[]> zones(ByteBuffer bank, Map<String, int[]> at) {
    List<int[]> zones = new ArrayList<>();
    int inst = at.get("inst")[0];
    for (int i = 0; i < at.get("inst")[1] / 22 - 1; i++) {
      int[] common = {-1, -1, 0};
      int first = bank.getShort(inst + 22 * i + 20) & 0xFFFF;
      int last = bank.getShort(inst + 22 * (i + 1) + 20) & 0xFFFF;
      for (int bag = first; bag < last; bag++) {
        int[] zone = common.clone();
        int from = bank.getShort(at.get("ibag")[0] + 4 * bag) & 0xFFFF;
        int to = bank.getShort(at.get("ibag")[0] + 4 * (bag + 1)) & 0xFFFF;
        for (int g = from; g < to; g++) {
          int generator = bank.getShort(at.get("igen")[0] + 4 * g) & 0xFFFF;
          short amount = bank.getShort(at.get("igen")[0] + 4 * g + 2);
          switch (generator) {
            case 51 -> zone[2] += 100 * amount; // coarseTune
            case 52 -> zone[2] += amount; // fineTune
            case 53 -> zone[0] = amount & 0xFFFF; // sampleID
            case 58 -> zone[1] = amount; // overridingRootKey
            default -> {}
          }
        }
        if (zone[0] >= 0) {
          zones.add(zone);
        } else {
          common = zone;
        }
      }
    }
    return zones;
  }

  private static Clip play(ByteBuffer bank, int pcm, int header, double seconds, double decay) {
    int start = bank.getInt(header + 20);
    int end = bank.getInt(header + 24);
    int loopStart = bank.getInt(header + 28);
    int loopEnd = bank.getInt(header + 32);
    int rate = bank.getInt(header + 36);
    boolean loops = seconds > 0 && loopEnd - loopStart > rate / 20;
    float[] x = new float[loops ? (int) (seconds * rate) : end - start];
    for (int i = 0; i < x.length; i++) {
      int at = start + i;
      double loud = 1;
      if (loops && at >= loopEnd) {
        loud = Math.pow(10, -3.0 * (at - loopEnd) / (decay * rate));
        at = loopStart + (at - loopStart) % (loopEnd - loopStart);
      }
      x[i] = (float) (loud * bank.getShort(pcm + 2 * at) / 32_768);
    }
    return Clip.of(rate, x);
  }
}
