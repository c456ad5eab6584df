package takewright.map;

import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.util.ArrayList;
import java.util.List;

/**
 * The connections of a region (DLS 2.2, chunk {@code art2}): level, release, pan, wheel, reverb.
 */
final class DlsArticulation {
  // Sources, destinations and transforms, DLS 2.2 tables 1, 2 and 9.
  private static final int SRC_NONE = 0x0000;
  private static final int SRC_KEY_ON_VELOCITY = 0x0002;
  private static final int SRC_VIBRATO = 0x0009;
  private static final int SRC_CC1 = 0x0081;
  private static final int DST_GAIN = 0x0001;
  private static final int DST_PITCH = 0x0003;
  private static final int DST_PAN = 0x0004;
  private static final int DST_REVERB = 0x0081;
  private static final int DST_EG1_ATTACK_TIME = 0x0206;
  private static final int DST_EG1_RELEASE_TIME = 0x0209;
  private static final int DST_FILTER_CUTOFF = 0x0500;
  private static final int DST_FILTER_Q = 0x0501;

  /** Concave and inverted: the standard's transform for velocity. */
  private static final int VELOCITY_TRANSFORM = 0x8400;

  /** Units of gain and of resonance in a decibel: tenths, in 16.16. */
  private static final double DECIBEL = 655_360;

  /** Units of time and of pitch in an octave: cents, in 16.16. */
  private static final double OCTAVE = 1200 * 65_536.0;

  /** Units of pan and of sends in a per cent: tenths, in 16.16. */
  private static final double PER_CENT = 655_360;

  /** Absolute pitch counts from here, which is 6900 cents below 440 Hz. */
  private static final double PITCH_0_HZ = 440 / Math.pow(2, 69 / 12.0);

  /** The attack is in the sample; this only prevents a click at its first frame, in seconds. */
  private static final double ATTACK_S = 0.001;

  /**
   * The release time of the standard is to -96 dB of an envelope that is even in dB; the map's is
   * to -60.
   */
  private static final double RELEASE_STRETCH = 96.0 / 60;

  private final DlsSettings settings;
  private final Zone zone;
  private final boolean layered;

  private record ConnectionBlock(
      int source, int control, int destination, int transform, int scale) {}

  /**
   * @param layered whether the instrument has samples at several dynamics
   */
  DlsArticulation(DlsSettings settings, Zone zone, boolean layered) {
    this.settings = settings;
    this.zone = zone;
    this.layered = layered;
  }

  /** The chunk's content for a sample of one channel, which the standard pans to the centre. */
  byte[] centred() {
    return bytes(connections());
  }

  /** The same for one of two linked channels, 0 or 1, for players that ignore the link. */
  byte[] ofChannel(int channel) {
    List<ConnectionBlock> connections = connections();
    connections.add(fixed(DST_PAN, (channel == 0 ? -50 : 50) * PER_CENT));
    return bytes(connections);
  }

  private List<ConnectionBlock> connections() {
    List<ConnectionBlock> all = new ArrayList<>();
    all.add(fixed(DST_EG1_ATTACK_TIME, octaves(ATTACK_S) * OCTAVE));
    double releaseS = Math.max(0.001, zone.releaseMs() / 1000 * RELEASE_STRETCH);
    all.add(fixed(DST_EG1_RELEASE_TIME, octaves(releaseS) * OCTAVE));
    all.add(fixed(DST_GAIN, zone.gainDb() * DECIBEL));
    if (layered) {
      // Samples at several dynamics keep their levels. With a single dynamic, velocity sets the
      // level, which is the standard's default.
      all.add(new ConnectionBlock(SRC_KEY_ON_VELOCITY, SRC_NONE, DST_GAIN, VELOCITY_TRANSFORM, 0));
    }
    // By default the wheel adds vibrato, which would detune a sample that has its own.
    all.add(new ConnectionBlock(SRC_VIBRATO, SRC_CC1, DST_PITCH, 0, 0));
    if (settings.modWheel() != null) {
      addWheel(all, settings.modWheel());
    }
    if (settings.reverbPercent() > 0) {
      all.add(fixed(DST_REVERB, settings.reverbPercent() * PER_CENT));
    }
    return all;
  }

  private static void addWheel(List<ConnectionBlock> all, ModWheel wheel) {
    double fromOctaves = octaves(wheel.fromHz() / PITCH_0_HZ);
    double toOctaves = octaves(wheel.toHz() / PITCH_0_HZ);
    all.add(fixed(DST_FILTER_CUTOFF, fromOctaves * OCTAVE));
    all.add(wheel(DST_FILTER_CUTOFF, (toOctaves - fromOctaves) * OCTAVE));
    double fromDb = wheel.resonanceFromDb();
    double toDb = wheel.resonanceToDb();
    if (fromDb > 0) {
      all.add(fixed(DST_FILTER_Q, fromDb * DECIBEL));
    }
    if (fromDb != toDb) {
      all.add(wheel(DST_FILTER_Q, (toDb - fromDb) * DECIBEL));
    }
  }

  private static ConnectionBlock fixed(int destination, double scale) {
    return new ConnectionBlock(SRC_NONE, SRC_NONE, destination, 0, (int) Math.round(scale));
  }

  private static ConnectionBlock wheel(int destination, double scale) {
    return new ConnectionBlock(SRC_CC1, SRC_NONE, destination, 0, (int) Math.round(scale));
  }

  private static double octaves(double ratio) {
    return Math.log(ratio) / Math.log(2);
  }

  private static byte[] bytes(List<ConnectionBlock> connections) {
    ByteBuffer art =
        ByteBuffer.allocate(8 + connections.size() * 12).order(ByteOrder.LITTLE_ENDIAN);
    art.putInt(8).putInt(connections.size());
    for (ConnectionBlock c : connections) {
      art.putShort((short) c.source).putShort((short) c.control);
      art.putShort((short) c.destination).putShort((short) c.transform).putInt(c.scale);
    }
    return art.array();
  }
}
