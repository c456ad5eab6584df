/** Builds as the service runs them: started, watched, stopped, resumed, and their pages shown. */
package takewright.service.build;
