/**
 * How commands reach services: the connection and its token, the list of servers, calls that stream
 * audio, and a session that is followed through drops of the network.
 */
package takewright.cli.connect;
