package takewright.map;

/** How velocities are shared out among the dynamics of an articulation. */
public enum VelocityRule {
  /** Every dynamic gets as many velocities. */
  EVEN,
  /** The bounds lie where the measured loudness is half-way between two dynamics. */
  LOUDNESS
}
