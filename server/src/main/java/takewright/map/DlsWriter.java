package takewright.map;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import takewright.audio.AudioSource;
import takewright.audio.RiffInfo;

/**
 * Writes zones in the MIDI Association's Downloadable Sounds Level 2 (DLS 2.2, 2006). It holds key
 * and velocity ranges, attenuation, loops, release times and the wheel's filter. It has no round
 * robins: of those the first is written, or an instrument in a bank of its own for each. Stereo is
 * two linked waves, left and right, as the standard has it.
 */
public final class DlsWriter {
  /** Everything but samples is small; sizes in RIFF have 32 bits. */
  private static final long LARGEST = 0xFFFF_FFFFL;

  /** Frames written at a time. */
  private static final int BLOCK = 8192;

  private DlsWriter() {}

  /**
   * The shape of a sample's audio.
   *
   * @param sampleRate in hertz
   * @param channels 1 or 2; of more the first two are written
   * @param frames number of frames
   * @param bitDepth 16, 24 or 32; 32 is written as 24
   */
  public record WaveShape(int sampleRate, int channels, long frames, int bitDepth) {
    int written() {
      return Math.min(2, channels);
    }

    int bytes() {
      return bitDepth == 16 ? 2 : 3;
    }

    long waveBytes() {
      long data = frames * bytes();
      // LIST wave { fmt, data }
      return 12 + 8 + 18 + 8 + data + (data & 1);
    }
  }

  /**
   * Writes a file.
   *
   * @param out where to
   * @param name of the instrument
   * @param settings what it does beyond keys and velocities
   * @param about what the file says of itself beyond the name
   * @param zones those of one articulation and layer
   * @param shapes of each zone's sample, by its file
   * @param samples gives the audio, one after the other
   * @throws IllegalArgumentException if there is no zone, or the file would pass 4 GiB
   */
  public static void write(
      OutputStream out,
      String name,
      DlsSettings settings,
      RiffInfo about,
      List<Zone> zones,
      Map<String, WaveShape> shapes,
      Samples samples)
      throws IOException {
    List<List<Zone>> banks = banks(zones, settings.roundRobins());
    if (banks.get(0).isEmpty()) {
      throw new IllegalArgumentException("an instrument needs at least one zone");
    }
    Map<String, Integer> firstWave = new LinkedHashMap<>();
    List<Zone> waves = new ArrayList<>();
    List<Integer> offsets = new ArrayList<>();
    long pool = 4;
    for (Zone zone : banks.stream().flatMap(List::stream).toList()) {
      if (firstWave.containsKey(zone.file())) {
        continue;
      }
      firstWave.put(zone.file(), offsets.size());
      waves.add(zone);
      WaveShape shape = shapes.get(zone.file());
      for (int c = 0; c < shape.written(); c++) {
        offsets.add((int) (pool - 4));
        pool += shape.waveBytes();
      }
    }
    byte[] head = head(name, settings, banks, firstWave, shapes, offsets);
    byte[] info = named(name).and(about).chunk();
    long riff = 4 + (long) head.length + 8 + pool + info.length;
    if (riff > LARGEST) {
      throw new IllegalArgumentException(
          "the samples of " + name + " are more than the 4 GiB that a DLS file can hold");
    }
    out.write(buffer(12).put(tag("RIFF")).putInt((int) riff).put(tag("DLS ")).array());
    out.write(head);
    out.write(buffer(12).put(tag("LIST")).putInt((int) pool).put(tag("wvpl")).array());
    for (Zone zone : waves) {
      WaveShape shape = shapes.get(zone.file());
      for (int c = 0; c < shape.written(); c++) {
        try (AudioSource source = samples.open(zone)) {
          wave(out, shape, source, c);
        }
      }
    }
    out.write(info);
  }

  /**
   * The zones of each bank. Where a key has fewer round robins than another, its own come round
   * again, so that no bank has a hole.
   */
  private static List<List<Zone>> banks(List<Zone> zones, RoundRobins roundRobins) {
    int count =
        roundRobins == RoundRobins.FIRST
            ? 1
            : zones.stream().mapToInt(Zone::rrCount).max().orElse(1);
    List<List<Zone>> banks = new ArrayList<>();
    for (int bank = 0; bank < count; bank++) {
      int turn = bank;
      banks.add(zones.stream().filter(z -> z.rr() - 1 == turn % z.rrCount()).toList());
    }
    return banks;
  }

  private static byte[] head(
      String name,
      DlsSettings settings,
      List<List<Zone>> banks,
      Map<String, Integer> firstWave,
      Map<String, WaveShape> shapes,
      List<Integer> offsets) {
    ByteArrayOutputStream instruments = new ByteArrayOutputStream();
    for (int bank = 0; bank < banks.size(); bank++) {
      String named = banks.size() == 1 ? name : name + " rr" + (bank + 1);
      put(instruments, instrument(named, bank, settings, banks.get(bank), firstWave, shapes));
    }
    ByteBuffer table = buffer(8 + 4 * offsets.size()).putInt(8).putInt(offsets.size());
    offsets.forEach(table::putInt);
    ByteArrayOutputStream head = new ByteArrayOutputStream();
    put(head, chunk("vers", buffer(8).putInt(0x0002_0000).putInt(0).array()));
    put(head, chunk("colh", buffer(4).putInt(banks.size()).array()));
    put(head, list("lins", instruments.toByteArray()));
    put(head, chunk("ptbl", table.array()));
    return head.toByteArray();
  }

  private static byte[] instrument(
      String name,
      int bank,
      DlsSettings settings,
      List<Zone> zones,
      Map<String, Integer> firstWave,
      Map<String, WaveShape> shapes) {
    boolean layered = zones.stream().anyMatch(z -> z.lowVelocity() > 1 || z.highVelocity() < 127);
    ByteArrayOutputStream regions = new ByteArrayOutputStream();
    int count = 0;
    for (Zone zone : zones) {
      WaveShape shape = shapes.get(zone.file());
      for (int c = 0; c < shape.written(); c++) {
        DlsArticulation articulation = new DlsArticulation(settings, zone, layered);
        byte[] connections =
            shape.written() == 2 ? articulation.ofChannel(c) : articulation.centred();
        put(regions, region(zone, shape, c, firstWave.get(zone.file()) + c, connections));
        count++;
      }
    }
    // The bank is that of controller 0, program 1.
    byte[] header = chunk("insh", buffer(12).putInt(count).putInt(bank << 8).putInt(0).array());
    return list("ins ", header, list("lrgn", regions.toByteArray()), named(name).chunk());
  }

  private static byte[] region(
      Zone zone, WaveShape shape, int channel, int wave, byte[] connections) {
    ByteBuffer header = buffer(14);
    header.putShort((short) zone.lowKey()).putShort((short) zone.highKey());
    // The standard counts from 0; no key is struck at 0.
    header.putShort((short) (zone.lowVelocity() == 1 ? 0 : zone.lowVelocity()));
    header.putShort((short) zone.highVelocity());
    // The same note may sound twice at once; no key group; no layer.
    header.putShort((short) 1).putShort((short) 0).putShort((short) 0);
    boolean loops = zone.loopStart() != null && zone.loopEnd() != null;
    ByteBuffer sample = buffer(loops ? 36 : 20);
    sample.putInt(20).putShort((short) zone.root()).putShort((short) 0);
    // The gain is in the articulation, because some players, such as the JDK's, ignore it here.
    sample.putInt(0);
    // Neither truncated nor compressed.
    sample.putInt(3).putInt(loops ? 1 : 0);
    if (loops) {
      sample.putInt(16).putInt(0).putInt((int) (long) zone.loopStart());
      sample.putInt((int) (zone.loopEnd() - zone.loopStart() + 1));
    }
    boolean stereo = shape.written() == 2;
    ByteBuffer link = buffer(12);
    // The left of two waves is the master.
    link.putShort((short) (stereo && channel == 0 ? 1 : 0));
    link.putShort((short) (stereo ? wave - channel + 1 : 0));
    link.putInt(1 << channel).putInt(wave);
    return list(
        "rgn2",
        chunk("rgnh", header.array()),
        chunk("wsmp", sample.array()),
        chunk("wlnk", link.array()),
        list("lar2", chunk("art2", connections)));
  }

  private static void wave(OutputStream out, WaveShape shape, AudioSource source, int channel)
      throws IOException {
    int bytes = shape.bytes();
    long data = shape.frames() * bytes;
    ByteBuffer head = buffer(12 + 8 + 18 + 8);
    head.put(tag("LIST")).putInt((int) (shape.waveBytes() - 8)).put(tag("wave"));
    head.put(tag("fmt ")).putInt(18).putShort((short) 1).putShort((short) 1);
    head.putInt(shape.sampleRate()).putInt(shape.sampleRate() * bytes);
    head.putShort((short) bytes).putShort((short) (8 * bytes)).putShort((short) 0);
    head.put(tag("data")).putInt((int) data);
    out.write(head.array());
    float[][] planar = new float[source.channels()][BLOCK];
    byte[] block = new byte[BLOCK * bytes];
    for (long done = 0; done < shape.frames(); ) {
      int n = source.read(planar, 0, (int) Math.min(BLOCK, shape.frames() - done));
      if (n < 0) {
        throw new IOException("a sample became shorter while it was read");
      }
      encode(planar[channel], n, bytes, block);
      out.write(block, 0, n * bytes);
      done += n;
    }
    if ((data & 1) == 1) {
      out.write(0);
    }
  }

  /** Rounds samples to integers of 2 or 3 bytes, of which they are most often made. */
  private static void encode(float[] from, int count, int bytes, byte[] to) {
    int top = (1 << (8 * bytes - 1)) - 1;
    double scale = top + 1.0;
    int o = 0;
    for (int i = 0; i < count; i++) {
      int value = Math.max(-top - 1, Math.min(top, (int) Math.rint(from[i] * scale)));
      to[o++] = (byte) value;
      to[o++] = (byte) (value >> 8);
      if (bytes == 3) {
        to[o++] = (byte) (value >> 16);
      }
    }
  }

  private static RiffInfo named(String name) {
    return new RiffInfo(Map.of(RiffInfo.NAME, name));
  }

  private static byte[] list(String type, byte[]... parts) {
    ByteArrayOutputStream all = new ByteArrayOutputStream();
    put(all, tag(type));
    for (byte[] part : parts) {
      put(all, part);
    }
    return chunk("LIST", all.toByteArray());
  }

  private static byte[] chunk(String type, byte[] content) {
    ByteBuffer chunk = buffer(8 + content.length + (content.length & 1));
    return chunk.put(tag(type)).putInt(content.length).put(content).array();
  }

  private static void put(ByteArrayOutputStream to, byte[] bytes) {
    to.write(bytes, 0, bytes.length);
  }

  private static byte[] tag(String tag) {
    return tag.getBytes(StandardCharsets.US_ASCII);
  }

  private static ByteBuffer buffer(int bytes) {
    return ByteBuffer.allocate(bytes).order(ByteOrder.LITTLE_ENDIAN);
  }
}
